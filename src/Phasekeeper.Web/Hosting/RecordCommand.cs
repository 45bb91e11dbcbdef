using System.Data;
using System.Data.Common;
using Phasekeeper.Storage;

namespace Phasekeeper.Web.Hosting;

/// <summary>The command <c>verify-record</c>: reads a data folder's record, also while the program works on it, and says whether it is whole.</summary>
public static class RecordCommand
{
    /// <summary>First word of the arguments.</summary>
    public const string Name = "verify-record";

    /// <summary>The record is whole.</summary>
    public const int Whole = 0;

    /// <summary>It is not; every place is written out.</summary>
    public const int Broken = 1;

    /// <summary>It could not be verified.</summary>
    public const int Unverified = 2;

    /// <summary>Whether the arguments ask for it.</summary>
    public static bool IsAsked(IReadOnlyList<string> args) => args.Count > 0 && args[0] == Name;

    /// <summary>Verifies the record of the data folder that settings or <c>--data DIR</c> name; gives the exit code.</summary>
    public static int Run(string[] args, TextWriter output)
    {
        ArgumentNullException.ThrowIfNull(output);
        var settings = PhasekeeperHost.CreateBuilder(args).Configuration;
        var data = settings["data"] ?? settings[$"{PhasekeeperOptions.Section}:{nameof(PhasekeeperOptions.Data)}"];
        var file = Path.Combine(Path.GetFullPath(string.IsNullOrEmpty(data) ? new PhasekeeperOptions().Data : data), DataFolder.DatabaseName);
        try
        {
            var report = RecordVerifier.Verify(file);
            output.WriteLine(FormattableString.Invariant($"{file}: {report.Entries} entries read in {report.TookS:0.0} s; hash of the newest {Convert.ToHexStringLower(report.Hash)}"));
            foreach (var finding in report.Findings) output.WriteLine($"- {finding}");
            output.WriteLine(report.IsWhole ? "The record is whole: every entry is as it was written, and none is missing." : $"The record is broken. {RecordReport.Advice}");
            return report.IsWhole ? Whole : Broken;
        }
        catch (Exception error) when (error is StorageException or DbException or DataException or IOException or UnauthorizedAccessException)
        {
            output.WriteLine($"The record could not be verified: {error.Message}");
            return Unverified;
        }
    }
}
