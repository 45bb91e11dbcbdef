using System.Data;
using System.Globalization;
using System.Text;
using Dapper;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Tests.Engine;

/// <summary>Every product table as text, one line a row, in an order that does not depend on row ids.</summary>
internal static class ProductDump
{
    private static readonly string[] Queries =
    [
        "SELECT hour, apid, count, firstTime, lastTime, firstSequence, lastSequence FROM coverage ORDER BY 1, 2",
        """SELECT hour, kind, apid, "from", "to", amount, detail FROM streamEvent ORDER BY 1, 2, 3, 4, 5, 7""",
        "SELECT name, count FROM channel ORDER BY 1",
        "SELECT n.name, m.hour, m.minutes FROM telemetryMinute m JOIN channel n ON n.id = m.channel ORDER BY 1, 2",
        "SELECT n.name, o.orbit, o.min, o.mean, o.max, o.count FROM telemetryOrbit o JOIN channel n ON n.id = o.channel ORDER BY 1, 2",
        "SELECT time, kind, exposure, view, line, orbit, imageShiftSamples, vectors, rowsHash, inputHash, coefficientSet, softwareVersion FROM fringe ORDER BY 1, 2, 3, 4, 5",
        """
        SELECT time, exposure, view, line, orbit, rows, vectors, correlationKm, topScaleHeightKm, misfitChiSquare, softwareVersion, inputHash, coefficientSet FROM losWind ORDER BY 1, 2, 3, 4
        """,
        "SELECT orbit, exposureTime, exposure, line, firstTime, lastTime, vectors, inputHash, coefficientSet, softwareVersion FROM windVector ORDER BY 1, 2, 3, 4",
        """SELECT orbit, start, "end", betaDeg, eclipseFraction, expectedExposures, receivedExposures, expectedRows, receivedRows, verdict, verdictReasons, provisional, detail, coefficientSet, softwareVersion FROM orbit ORDER BY 1""",
        """
        SELECT s.tracker, s.view, s.line, s.channel, v.orbit, v.time, v.value, v.sigma, v.n, v.provisional, v.expected, v.ewma, v.ewmaSigma, v.charted, v.cusumHigh, v.cusumLow, v.state, v.softwareVersion
        FROM trackerValue v JOIN trackerSeries s ON s.id = v.series ORDER BY 1, 2, 3, 4, 5
        """,
        """SELECT id, severity, state, "from", "to", firstOrbit, lastOrbit, value, "limit", message, explainedBy, coefficientSet FROM flag WHERE state <> 'withdrawn' ORDER BY 1""",
        "SELECT orbit, line, grid, bins FROM windBin ORDER BY 1, 2",
        "SELECT orbit, start, zero, cells FROM windSum ORDER BY 1",
        "SELECT day, line, status, estimate FROM zeroWind ORDER BY 1, 2",
        "SELECT f.sha256, c.orbit, c.start, c.count, c.pairs FROM comparison c JOIN auxiliaryFile f ON f.id = c.file ORDER BY 1, 2",
        "SELECT kind, length, hash FROM quarantine WHERE state = 'waiting' ORDER BY 1, 2, 3",
    ];

    public static string Of(IDbConnection connection)
    {
        var text = new StringBuilder();
        foreach (var query in Queries)
        {
            text.Append("# ").AppendLine(query.Split('\n')[0]);
            foreach (IDictionary<string, object?> row in connection.Query(query))
                text.AppendJoin('|', row.Values.Select(Text)).AppendLine();
        }
        Telemetry(connection, text);
        return text.ToString();
    }

    // Blocks name channels and forms by numbers of the order in which they came: what they hold is compared, with the hours' roll-ups.
    private static void Telemetry(IDbConnection connection, StringBuilder text)
    {
        var names = connection.Query<(long Id, string Name)>("SELECT id, name FROM channel").ToDictionary(c => c.Id, c => c.Name);
        var forms = new TelemetryForms();
        var lines = new List<string>();
        foreach (var (hour, count, channels, times, sections) in connection.Query<(long, int, byte[], byte[], byte[])>("SELECT hour, count, channels, times, sections FROM telemetryBlock").ToList())
            foreach (var (channel, offset, length) in TelemetryDirectory.Decode(channels))
            {
                var samples = SectionCodec.Decode(sections.AsSpan(offset, length), TimeCodec.Decode(times, count), id => forms.Get(id, connection, null));
                lines.Add($"{names[channel]}|{hour}|{string.Join(',', Enumerable.Range(0, samples.Count).Select(i => FormattableString.Invariant($"{samples.TaiNanoseconds[i]}:{samples.Values[i]:R}:{samples.LabelAt(i)}")))}");
            }
        foreach (var (channel, day, hours) in connection.Query<(long, long, byte[])>("SELECT channel, day, hours FROM telemetryDay").ToList())
        {
            var entries = new List<HourEntry>();
            DayCodec.Decode(hours, day, entries);
            lines.AddRange(entries.Select(e => FormattableString.Invariant($"{names[channel]}|{e.Hour} rolled up|{e.Count}|{e.Finite}|{e.Min:R}|{e.Sum:R}|{e.Max:R}")));
        }
        foreach (var line in lines.Order(StringComparer.Ordinal)) text.AppendLine(line);
    }

    private static string Text(object? value) => value switch
    {
        null => "",
        byte[] bytes => Convert.ToHexString(bytes),
        double number => number.ToString("R", CultureInfo.InvariantCulture),
        _ => Convert.ToString(value, CultureInfo.InvariantCulture)!,
    };
}
