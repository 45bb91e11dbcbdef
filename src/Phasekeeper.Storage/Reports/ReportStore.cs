using System.Data;
using System.Security.Cryptography;
using Dapper;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage;

/// <summary>A report that was made, or could not be; without its PDF.</summary>
public sealed record ReportRow
{
    /// <summary>Id.</summary>
    public long Id { get; init; }
    /// <summary>day | week.</summary>
    public required string Kind { get; init; }
    /// <summary>First UTC day, yyyy-MM-dd.</summary>
    public required string First { get; init; }
    /// <summary>When, wall clock.</summary>
    public required Instant Made { get; init; }
    /// <summary>Who asked for it.</summary>
    public required string Actor { get; init; }
    /// <summary>Hash of the versions of all data that it shows.</summary>
    public required string Ground { get; init; }
    /// <summary>The same in words.</summary>
    public required string Versions { get; init; }
    /// <summary>Why there is no PDF; null = there is one.</summary>
    public string? Failure { get; init; }
    /// <summary>SHA-256 of the PDF; null without one.</summary>
    public byte[]? Hash { get; init; }
    /// <summary>Bytes of the PDF; null without one.</summary>
    public long? Length { get; init; }
}

/// <summary>The archive of reports. They are never changed and never deleted.</summary>
public sealed class ReportStore(Database database)
{
    private const string Columns = "id, kind, first, made, actor, ground, versions, failure, hash, length";

    /// <summary>Adds a report; gives its id.</summary>
    /// <param name="transaction">Transaction, also of its entry in the record.</param>
    /// <param name="report">What is known of it; hash and length are taken from the PDF.</param>
    /// <param name="pdf">The PDF; null when it could not be made, with the failure said.</param>
    public static long Add(IDbTransaction transaction, ReportRow report, byte[]? pdf)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        ArgumentNullException.ThrowIfNull(report);
        return transaction.Connection!.ExecuteScalar<long>(
            "INSERT INTO report (kind, first, made, actor, ground, versions, failure, hash, length, pdf) VALUES (@Kind, @First, @Made, @Actor, @Ground, @Versions, @Failure, @hash, @length, @pdf) RETURNING id",
            new { report.Kind, report.First, report.Made, report.Actor, report.Ground, report.Versions, report.Failure, hash = pdf is null ? null : SHA256.HashData(pdf), length = pdf?.LongLength, pdf }, transaction);
    }

    /// <summary>Reports, newest first; failures of a day and the PDFs before them included.</summary>
    public IReadOnlyList<ReportRow> Newest(int limit) => database.Read(c => c.Query<ReportRow>($"SELECT {Columns} FROM report ORDER BY id DESC LIMIT @limit", new { limit }).AsList());

    /// <summary>All of one day or week, newest first.</summary>
    public IReadOnlyList<ReportRow> Of(string kind, string first) => database.Read(c => c.Query<ReportRow>($"SELECT {Columns} FROM report WHERE kind = @kind AND first = @first ORDER BY id DESC", new { kind, first }).AsList());

    /// <summary>One report with its PDF; null when there is none of that id, or it could not be made.</summary>
    public (ReportRow Report, byte[] Pdf)? Get(long id) => database.Read(c => c.QuerySingleOrDefault<ReportRow>($"SELECT {Columns} FROM report WHERE id = @id AND failure IS NULL", new { id }) is { } row
        ? (row, c.ExecuteScalar<byte[]>("SELECT pdf FROM report WHERE id = @id", new { id })!) : ((ReportRow, byte[])?)null);
}
