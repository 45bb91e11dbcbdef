using Microsoft.Data.Sqlite;

namespace Phasekeeper.Storage.Tests.People;

public sealed class PeopleStoreTests
{
    [Fact]
    public async Task A_person_comes_back_as_it_was_saved()
    {
        using var temp = new TempStores();
        var ada = New("Ada", Roles.Analyst, Roles.Administrator);
        Assert.True(await Add(temp, ada));
        var read = temp.Stores.People.ByName("ADA")!;
        Assert.Equal((ada.Id, "Ada", "hash", "stamp", 0, true, TempStores.Now), (read.Id, read.Name, read.PasswordHash, read.SecurityStamp, read.FailedSignIns, read.MustChangePassword, read.Created));
        Assert.True(read.Roles.SetEquals([Roles.Analyst, Roles.Administrator]));
        Assert.Null(read.LockedUntil);
        read.LockedUntil = Person.Forever;
        read.Roles.Remove(Roles.Analyst);
        Assert.True(await temp.Stores.Database.WriteAsync(t => PeopleStore.Save(t, read)));
        Assert.True(temp.Stores.People.Get(ada.Id)!.IsLockedByAdministrator);
        Assert.Equal([Roles.Administrator], temp.Stores.People.Get(ada.Id)!.Roles);
    }

    [Fact]
    public async Task Of_two_saves_of_the_same_state_the_second_is_refused_and_changes_nothing()
    {
        using var temp = new TempStores();
        await Add(temp, New("Ada", Roles.Viewer));
        var (one, two) = (temp.Stores.People.ByName("ADA")!, temp.Stores.People.ByName("ADA")!);
        one.FailedSignIns = 1;
        two.Roles.Add(Roles.Administrator);
        Assert.True(await temp.Stores.Database.WriteAsync(t => PeopleStore.Save(t, one)));
        Assert.False(await temp.Stores.Database.WriteAsync(t => PeopleStore.Save(t, two)));
        Assert.Equal([Roles.Viewer], temp.Stores.People.Get(one.Id)!.Roles);
    }

    [Fact]
    public async Task A_name_is_given_once()
    {
        using var temp = new TempStores();
        Assert.True(await Add(temp, New("Ada", Roles.Viewer)));
        Assert.False(await Add(temp, New("ada", Roles.Administrator)));
        Assert.Single(temp.Stores.People.All());
    }

    [Fact]
    public async Task A_role_that_does_not_exist_cannot_be_stored()
    {
        using var temp = new TempStores();
        await Assert.ThrowsAsync<SqliteException>(() => Add(temp, New("Ada", "emperor")));
        Assert.False(temp.Stores.People.Any());
    }

    [Fact]
    public async Task A_person_is_found_by_an_identity_elsewhere()
    {
        using var temp = new TempStores();
        var ada = New("Ada", Roles.Viewer);
        await Add(temp, ada);
        await temp.Write(t => PeopleStore.AddLogin(t, ada.Id, new PersonLogin("provider", "subject", "The provider")));
        Assert.Equal(ada.Id, temp.Stores.People.ByLogin("provider", "subject")!.Id);
        Assert.Null(temp.Stores.People.ByLogin("provider", "another"));
        Assert.Equal([new PersonLogin("provider", "subject", "The provider")], temp.Stores.People.Logins(ada.Id));
    }

    [Theory]
    [InlineData(Roles.Viewer, "viewer")]
    [InlineData(Roles.Operator, "viewer operator")]
    [InlineData(Roles.Analyst, "viewer operator analyst")]
    [InlineData(Roles.CalibrationLead, "viewer operator analyst calibration-lead")]
    [InlineData(Roles.Administrator, "viewer operator analyst administrator")]
    [InlineData(Roles.System, "system")]
    public void A_role_includes_those_before_it_and_an_administrator_is_no_calibration_lead(string held, string covered) =>
        Assert.Equal(covered.Split(' '), Roles.All.Append(Roles.System).Where(role => Roles.Covers(held, role)));

    [Fact]
    public void Who_is_calibration_lead_and_administrator_is_recorded_as_calibration_lead()
    {
        Assert.Equal(Roles.CalibrationLead, Roles.Leading([Roles.Administrator, Roles.CalibrationLead]));
        Assert.Equal(Roles.Administrator, Roles.Leading([Roles.Administrator, Roles.Analyst]));
        Assert.Throws<ArgumentException>(() => Roles.Leading([]));
    }

    private static Task<bool> Add(TempStores temp, Person person) => temp.Stores.Database.WriteAsync(t => PeopleStore.Add(t, person));

    private static Person New(string name, params string[] roles)
    {
        var person = new Person { Name = name, NormalizedName = name.ToUpperInvariant(), PasswordHash = "hash", SecurityStamp = "stamp", MustChangePassword = true, Created = TempStores.Now };
        person.Roles.UnionWith(roles);
        return person;
    }
}
