using System.Security.Claims;
using Microsoft.AspNetCore.Identity;
using Microsoft.Extensions.Options;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api.Access;

namespace Phasekeeper.Web.Features.SignIn;

/// <summary>The principal of a person who signed in: id, name, security stamp (by the base class), roles, and whether the password must be changed first.</summary>
public sealed class PersonClaimsFactory(UserManager<Person> people, IOptions<IdentityOptions> options) : UserClaimsPrincipalFactory<Person>(people, options)
{
    /// <inheritdoc/>
    protected override async Task<ClaimsIdentity> GenerateClaimsAsync(Person user)
    {
        ArgumentNullException.ThrowIfNull(user);
        var identity = await base.GenerateClaimsAsync(user).ConfigureAwait(false);
        identity.AddClaims(user.Roles.Select(role => new Claim(ClaimTypes.Role, role)));
        if (user.MustChangePassword) identity.AddClaim(new Claim(PersonClaims.MustChangePassword, "true"));
        return identity;
    }
}
