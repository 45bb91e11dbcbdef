using System.Data;
using Dapper;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage;

/// <summary>People with their roles and identities elsewhere.</summary>
public sealed class PeopleStore(Database database)
{
    private const string Columns =
        "id, name, normalizedName, passwordHash, securityStamp, concurrencyStamp, failedSignIns, lockedUntil, mustChangePassword, created, lastSignIn";

    /// <summary>All people, by name.</summary>
    public IReadOnlyList<Person> All() => database.Read(c => Filled(c, null, c.Query<Person>($"SELECT {Columns} FROM person ORDER BY normalizedName").AsList()));

    /// <summary>Whether there is anybody.</summary>
    public bool Any() => database.Read(c => c.ExecuteScalar<bool>("SELECT EXISTS (SELECT 1 FROM person)"));

    /// <summary>A person by id; null when there is none.</summary>
    public Person? Get(string id) => database.Read(c => Get(c, null, id));

    /// <summary>As <see cref="Get(string)"/>, within a transaction.</summary>
    public static Person? Get(IDbTransaction transaction, string id) => Get(transaction.Connection!, transaction, id);

    /// <summary>A person by normalized name; null when there is none.</summary>
    public Person? ByName(string normalizedName) => database.Read(c =>
        Filled(c, null, c.Query<Person>($"SELECT {Columns} FROM person WHERE normalizedName = @normalizedName", new { normalizedName }).AsList()).SingleOrDefault());

    /// <summary>The person behind an identity elsewhere; null when there is none.</summary>
    public Person? ByLogin(string provider, string providerKey) => database.Read(c => Filled(c, null, c.Query<Person>(
        $"SELECT {Columns} FROM person WHERE id = (SELECT person FROM personLogin WHERE provider = @provider AND providerKey = @providerKey)", new { provider, providerKey }).AsList()).SingleOrDefault());

    /// <summary>Identities of a person elsewhere.</summary>
    public IReadOnlyList<PersonLogin> Logins(string person) => database.Read(c => c.Query<PersonLogin>(
        "SELECT provider, providerKey, title FROM personLogin WHERE person = @person ORDER BY provider", new { person }).AsList());

    /// <summary>Adds a person; false when the name is taken.</summary>
    public static bool Add(IDbTransaction transaction, Person person)
    {
        ArgumentNullException.ThrowIfNull(person);
        person.ConcurrencyStamp = NewStamp();
        var added = transaction.Connection!.Execute(
            """
            INSERT INTO person (id, name, normalizedName, passwordHash, securityStamp, concurrencyStamp, failedSignIns, lockedUntil, mustChangePassword, created, lastSignIn)
            VALUES (@Id, @Name, @NormalizedName, @PasswordHash, @SecurityStamp, @ConcurrencyStamp, @FailedSignIns, @LockedUntil, @MustChangePassword, @Created, @LastSignIn)
            ON CONFLICT (normalizedName) DO NOTHING
            """, person, transaction) == 1;
        if (added) WriteRoles(transaction, person);
        return added;
    }

    /// <summary>Saves a person; false when someone else has saved since it was read.</summary>
    public static bool Save(IDbTransaction transaction, Person person)
    {
        ArgumentNullException.ThrowIfNull(person);
        var stamp = NewStamp();
        var saved = transaction.Connection!.Execute(
            """
            UPDATE person SET name = @Name, normalizedName = @NormalizedName, passwordHash = @PasswordHash, securityStamp = @SecurityStamp, concurrencyStamp = @stamp,
                failedSignIns = @FailedSignIns, lockedUntil = @LockedUntil, mustChangePassword = @MustChangePassword, lastSignIn = @LastSignIn
            WHERE id = @Id AND concurrencyStamp = @ConcurrencyStamp
            """,
            new
            {
                person.Id,
                person.Name,
                person.NormalizedName,
                person.PasswordHash,
                person.SecurityStamp,
                person.ConcurrencyStamp,
                person.FailedSignIns,
                person.LockedUntil,
                person.MustChangePassword,
                person.LastSignIn,
                stamp,
            }, transaction) == 1;
        if (!saved) return false;
        person.ConcurrencyStamp = stamp;
        WriteRoles(transaction, person);
        return true;
    }

    /// <summary>Puts an identity elsewhere beside a person.</summary>
    public static void AddLogin(IDbTransaction transaction, string person, PersonLogin login) => transaction.Connection!.Execute(
        "INSERT INTO personLogin (provider, providerKey, title, person) VALUES (@Provider, @ProviderKey, @Title, @person)", new { login.Provider, login.ProviderKey, login.Title, person }, transaction);

    /// <summary>Takes an identity elsewhere away.</summary>
    public static void RemoveLogin(IDbTransaction transaction, string person, string provider, string providerKey) => transaction.Connection!.Execute(
        "DELETE FROM personLogin WHERE person = @person AND provider = @provider AND providerKey = @providerKey", new { person, provider, providerKey }, transaction);

    /// <summary>How many others are administrators and can sign in with a password: an identity provider takes the role away again at any sign-in, so those who come by it do not count.</summary>
    public static int OtherAdministrators(IDbTransaction transaction, string person) => transaction.Connection!.ExecuteScalar<int>(
        """
        SELECT count(*) FROM person JOIN personRole ON personRole.person = person.id
        WHERE role = 'administrator' AND id <> @person AND passwordHash IS NOT NULL AND (lockedUntil IS NULL OR lockedUntil <> @forever)
        """, new { person, forever = Person.Forever }, transaction);

    private static Person? Get(IDbConnection connection, IDbTransaction? transaction, string id) =>
        Filled(connection, transaction, connection.Query<Person>($"SELECT {Columns} FROM person WHERE id = @id", new { id }, transaction).AsList()).SingleOrDefault();

    private static List<Person> Filled(IDbConnection connection, IDbTransaction? transaction, List<Person> people)
    {
        if (people.Count == 0) return people;
        var roles = connection.Query<(string Person, string Role)>("SELECT person, role FROM personRole WHERE person IN @ids", new { ids = people.Select(p => p.Id) }, transaction).ToLookup(r => r.Person, r => r.Role);
        foreach (var person in people) person.Roles.UnionWith(roles[person.Id]);
        return people;
    }

    private static void WriteRoles(IDbTransaction transaction, Person person)
    {
        transaction.Connection!.Execute("DELETE FROM personRole WHERE person = @Id", new { person.Id }, transaction);
        transaction.Connection!.Execute("INSERT INTO personRole (person, role) VALUES (@Id, @role)", person.Roles.Select(role => new { person.Id, role }), transaction);
    }

    private static string NewStamp() => Guid.NewGuid().ToString("N");
}
