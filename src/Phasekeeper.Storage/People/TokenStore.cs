using System.Data;
using Dapper;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage;

/// <summary>A token with which a person's scripts ask. The token itself is kept nowhere.</summary>
public sealed record TokenRow
{
    /// <summary>Id; no secret.</summary>
    public required string Id { get; init; }
    /// <summary>Whose.</summary>
    public required string Person { get; init; }
    /// <summary>What it is for.</summary>
    public required string Name { get; init; }
    /// <summary>SHA-256 of the token.</summary>
    public required byte[] Hash { get; init; }
    /// <summary>What it may, words joined by a space.</summary>
    public required string Scopes { get; init; }
    /// <summary>Wall clock.</summary>
    public required Instant Created { get; init; }
    /// <summary>Wall clock from which on it is refused.</summary>
    public required Instant Expires { get; init; }
    /// <summary>Wall clock of its revocation; null while it stands.</summary>
    public Instant? Revoked { get; init; }
    /// <summary>Wall clock of its last use, to the minute; null before the first.</summary>
    public Instant? LastUsed { get; init; }
}

/// <summary>Tokens of scripts.</summary>
public sealed class TokenStore(Database database)
{
    private const string Columns = "id, person, name, hash, scopes, created, expires, revoked, lastUsed";

    /// <summary>The token with a hash; null when there is none.</summary>
    public TokenRow? ByHash(byte[] hash) => database.Read(c => c.QuerySingleOrDefault<TokenRow>($"SELECT {Columns} FROM personToken WHERE hash = @hash", new { hash }));

    /// <summary>Tokens of a person, newest first.</summary>
    public IReadOnlyList<TokenRow> Of(string person) => database.Read(c => c.Query<TokenRow>($"SELECT {Columns} FROM personToken WHERE person = @person ORDER BY created DESC, id", new { person }).AsList());

    /// <summary>Tokens of everybody, newest first.</summary>
    public IReadOnlyList<TokenRow> All() => database.Read(c => c.Query<TokenRow>($"SELECT {Columns} FROM personToken ORDER BY created DESC, id").AsList());

    /// <summary>Adds a token.</summary>
    public static void Add(IDbTransaction transaction, TokenRow token) => transaction.Connection!.Execute(
        "INSERT INTO personToken (id, person, name, hash, scopes, created, expires) VALUES (@Id, @Person, @Name, @Hash, @Scopes, @Created, @Expires)", token, transaction);

    /// <summary>Revokes a token; null when there is none that stands under this id, else the token as it was.</summary>
    public static TokenRow? Revoke(IDbTransaction transaction, string id, Instant now)
    {
        var before = transaction.Connection!.QuerySingleOrDefault<TokenRow>($"SELECT {Columns} FROM personToken WHERE id = @id AND revoked IS NULL", new { id }, transaction);
        if (before is not null) transaction.Connection!.Execute("UPDATE personToken SET revoked = @now WHERE id = @id", new { id, now }, transaction);
        return before;
    }

    /// <summary>Notes that a token was used.</summary>
    public static void Used(IDbTransaction transaction, string id, Instant now) => transaction.Connection!.Execute("UPDATE personToken SET lastUsed = @now WHERE id = @id", new { id, now }, transaction);
}
