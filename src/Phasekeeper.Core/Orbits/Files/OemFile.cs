using Phasekeeper.Core.Geometry;
using Phasekeeper.Core.Text;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Orbits.Files;

/// <summary>
/// Reads orbit ephemeris messages in key = value notation (CCSDS 502.0-B, section 5): several segments, comments and covariance blocks (passed over);
/// accelerations behind a state are passed over. States are km and km/s in the file and are converted to TEME, m and m/s, as they are read.
/// </summary>
public static class OemFile
{
    /// <summary>Reads a file's text; every mistake in it is reported.</summary>
    public static ReadResult<OemEphemeris> Read(string file, string text) => new OemReader(file, text).Read();
}

internal sealed class OemReader(string file, string text)
{
    private static readonly string[] HeaderKeys = ["CCSDS_OEM_VERS", "CLASSIFICATION", "CREATION_DATE", "ORIGINATOR", "MESSAGE_ID"];
    private static readonly string[] MetaKeys =
    [
        "OBJECT_NAME", "OBJECT_ID", "CENTER_NAME", "REF_FRAME", "REF_FRAME_EPOCH", "TIME_SYSTEM", "START_TIME", "USEABLE_START_TIME",
        "USEABLE_STOP_TIME", "STOP_TIME", "INTERPOLATION", "INTERPOLATION_DEGREE",
    ];
    private static readonly string[] Required = ["CENTER_NAME", "REF_FRAME", "TIME_SYSTEM", "START_TIME", "STOP_TIME"];

    private readonly FileErrors _errors = new(file);
    private readonly List<OemSegment> _segments = [];
    private readonly List<(int Line, OemNode Node)> _nodes = [];
    private readonly Dictionary<string, KvnLine> _meta = [];
    private int _metaLine;
    private bool _metaUsable;
    private CcsdsFrame _frame;
    private CalendarScale _scale;

    public ReadResult<OemEphemeris> Read()
    {
        var lines = KvnLine.Split(text);
        if (lines.Count == 0 || lines[0].Key != "CCSDS_OEM_VERS")
            _errors.Add(lines.Count == 0 ? 0 : lines[0].Number, lines.Count == 0 ? "an empty file" : $"'{Shown(lines[0])}'", "CCSDS_OEM_VERS = 2.0 as the first line of an orbit ephemeris message");
        else if (lines[0].Value is not ("1.0" or "2.0" or "3.0"))
            _errors.Add(lines[0].Number, $"CCSDS_OEM_VERS = {lines[0].Value}", "1.0, 2.0 or 3.0");

        bool inMeta = false, inCovariance = false, sawMeta = false;
        foreach (var line in lines)
        {
            if (inCovariance) inCovariance = !(line.Key == "" && line.Value == "COVARIANCE_STOP");
            else if (line.Key == "" && line.Value == "COVARIANCE_START") inCovariance = true;
            else if (line.Key == "" && line.Value == "META_START")
            {
                if (inMeta) _errors.Add(line.Number, "META_START", $"META_STOP first, for the block begun in line {_metaLine}");
                if (sawMeta) EndSegment();
                (inMeta, sawMeta, _metaLine) = (true, true, line.Number);
                _meta.Clear();
            }
            else if (line.Key == "" && line.Value == "META_STOP")
            {
                if (!inMeta) _errors.Add(line.Number, "META_STOP", "META_START before it");
                inMeta = false;
                EndMeta();
            }
            else if (inMeta) MetaLine(line);
            else if (line.Key != "")
            {
                if (sawMeta || !HeaderKeys.Contains(line.Key))
                    _errors.Add(line.Number, $"'{Shown(line)}'", sawMeta ? "a state, META_START or COVARIANCE_START" : $"one of {string.Join(", ", HeaderKeys)}, or META_START");
            }
            else if (!sawMeta) _errors.Add(line.Number, $"'{line.Value}'", "META_START before the first state");
            else StateLine(line);
        }
        if (inMeta) _errors.Add(_metaLine, "META_START without META_STOP", "META_STOP before the states");
        else if (sawMeta) EndSegment();
        if (!sawMeta && _errors.Count == 0) _errors.Add(0, "no segment", "META_START … META_STOP and states below it");
        if (inCovariance) _errors.Add(0, "COVARIANCE_START without COVARIANCE_STOP", "COVARIANCE_STOP at the end of the block");
        return _errors.Result(() => new OemEphemeris(_segments));
    }

    private static string Shown(KvnLine line) => line.Key == "" ? line.Value : $"{line.Key} = {line.Value}";

    private void MetaLine(KvnLine line)
    {
        if (line.Key == "" || !MetaKeys.Contains(line.Key))
            _errors.Add(line.Number, $"'{Shown(line)}'", $"one of {string.Join(", ", MetaKeys)}, or META_STOP");
        else if (!_meta.TryAdd(line.Key, line))
            _errors.Add(line.Number, $"{line.Key} a second time", $"it once in a block (first in line {_meta[line.Key].Number})");
    }

    private void EndMeta()
    {
        var before = _errors.Count;
        foreach (var key in Required)
            if (!_meta.ContainsKey(key)) _errors.Add(_metaLine, $"no {key}", $"{key} in the block that begins here");
        if (_meta.TryGetValue("CENTER_NAME", out var centre) && !centre.Value.Equals("EARTH", StringComparison.OrdinalIgnoreCase))
            _errors.Add(centre.Number, $"CENTER_NAME = {centre.Value}", "EARTH");
        if (_meta.TryGetValue("REF_FRAME", out var frame) && !CcsdsFrames.TryParse(frame.Value, out _frame))
            _errors.Add(frame.Number, $"REF_FRAME = {frame.Value}", CcsdsFrames.Names);
        if (_meta.TryGetValue("REF_FRAME_EPOCH", out var epoch) && _frame == CcsdsFrame.Teme)
            _errors.Add(epoch.Number, "REF_FRAME_EPOCH with TEME", "no such line: TEME of date is what can be read");
        if (_meta.TryGetValue("TIME_SYSTEM", out var system) && !Enum.TryParse(system.Value, ignoreCase: true, out _scale))
            _errors.Add(system.Number, $"TIME_SYSTEM = {system.Value}", "UTC, TAI, GPS or TT");
        if (_meta.TryGetValue("INTERPOLATION", out var method) && !Enum.TryParse<OemInterpolation>(method.Value, ignoreCase: true, out _))
            _errors.Add(method.Number, $"INTERPOLATION = {method.Value}", "HERMITE or LAGRANGE");
        if (_meta.TryGetValue("INTERPOLATION_DEGREE", out var degree) && !(int.TryParse(degree.Value, out var d) && d is >= 1 and <= 31))
            _errors.Add(degree.Number, $"INTERPOLATION_DEGREE = {degree.Value}", "a whole number from 1 to 31");
        _metaUsable = _errors.Count == before;
    }

    private void StateLine(KvnLine line)
    {
        const string layout = "a time and x y z (km) vx vy vz (km/s), with or without three accelerations";
        var parts = line.Value.Split((char[]?)null, StringSplitOptions.RemoveEmptyEntries);
        if (parts.Length is not (7 or 10))
        {
            _errors.Add(line.Number, $"{parts.Length} fields: '{line.Value}'", layout);
            return;
        }
        if (!Instant.TryParse(parts[0], _scale, out var time))
        {
            _errors.Add(line.Number, $"the time '{parts[0]}'", "yyyy-mm-ddThh:mm:ss[.fff] or yyyy-dddThh:mm:ss[.fff]");
            return;
        }
        Span<double> x = stackalloc double[6];
        for (var i = 0; i < 6; i++)
            if (!KvnLine.TryNumber(parts[i + 1], out x[i]))
            {
                _errors.Add(line.Number, $"'{parts[i + 1]}' as number {i + 1} of the state", layout);
                return;
            }
        if (_nodes.Count > 0 && time <= _nodes[^1].Node.Time)
        {
            _errors.Add(line.Number, $"the time {parts[0]}", $"one after that of line {_nodes[^1].Line}");
            return;
        }
        if (!_metaUsable) return;
        _nodes.Add((line.Number, new OemNode(time, _frame.StateToTeme(time, new Vec3(x[0], x[1], x[2]) * 1e3, new Vec3(x[3], x[4], x[5]) * 1e3))));
    }

    private void EndSegment()
    {
        var usable = _metaUsable;
        var nodes = _nodes.Select(n => n.Node).ToList();
        _nodes.Clear();
        _metaUsable = false;
        if (!usable) return;
        var before = _errors.Count;
        // A segment's own limits; they may only narrow what its states cover.
        if (!Time("START_TIME", out var start) | !Time("STOP_TIME", out var stop)) return;
        var (from, to) = (start, stop);
        if (_meta.ContainsKey("USEABLE_START_TIME") && !Time("USEABLE_START_TIME", out from)) return;
        if (_meta.ContainsKey("USEABLE_STOP_TIME") && !Time("USEABLE_STOP_TIME", out to)) return;
        if (stop < start) _errors.Add(_meta["STOP_TIME"].Number, $"STOP_TIME {_meta["STOP_TIME"].Value}", "a time after START_TIME");
        else if (nodes.Count < 2) _errors.Add(_metaLine, $"{nodes.Count} states in the segment that begins here", "at least two, to interpolate between");
        else if (from > to || from > nodes[^1].Time || to < nodes[0].Time)
            _errors.Add(_metaLine, $"states from {nodes[0].Time} to {nodes[^1].Time} and a usable stretch from {from} to {to}", "stretches that overlap");
        if (_errors.Count > before) return;
        var method = _meta.TryGetValue("INTERPOLATION", out var m) ? Enum.Parse<OemInterpolation>(m.Value, ignoreCase: true) : OemInterpolation.Hermite;
        var degree = _meta.TryGetValue("INTERPOLATION_DEGREE", out var d) ? int.Parse(d.Value, System.Globalization.CultureInfo.InvariantCulture) : OemSegment.DefaultDegree;
        _segments.Add(new OemSegment(nodes, method, degree, new TimeStretch(from, to)));
    }

    private bool Time(string key, out Instant time)
    {
        var line = _meta[key];
        if (Instant.TryParse(line.Value, _scale, out time)) return true;
        _errors.Add(line.Number, $"{key} = {line.Value}", "yyyy-mm-ddThh:mm:ss[.fff] or yyyy-dddThh:mm:ss[.fff]");
        return false;
    }
}
