using Phasekeeper.Pipeline.Assessment;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api.Access;

namespace Phasekeeper.Web.Features.Flags;

/// <summary>Who works with flags here: the people who sign in and are not locked, and where it is offered the demo's names; with the mission's list of causes.</summary>
public sealed class FlagTeams(Stores stores, MissionFolder folder, DemoAccess demo)
{
    /// <summary>The team now.</summary>
    public FlagTeam Current()
    {
        var people = stores.People.All().Where(p => !p.IsLockedByAdministrator && p.Roles.Count > 0)
            .Select(p => new MissionPerson(p.Name, Roles.Cover(p.Roles, Roles.Operator)));
        var rehearsing = demo.IsOffered ? Roles.All.Select(role => new MissionPerson(DemoAccess.NameOf(role), Roles.Covers(role, Roles.Operator))) : [];
        return new([.. people, .. rehearsing], folder.Profile.FlagCauses);
    }
}
