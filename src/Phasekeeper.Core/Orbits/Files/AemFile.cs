using Phasekeeper.Core.Geometry;
using Phasekeeper.Core.Limb;
using Phasekeeper.Core.Text;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Orbits.Files;

/// <summary>
/// Reads attitude ephemeris messages in key = value notation with quaternions (CCSDS 504.0-B, section 4): several segments; rates and derivatives
/// behind a quaternion are passed over. The quaternion of version 1 may stand either way round (QUATERNION_TYPE, ATTITUDE_DIR); version 2 has
/// its scalar last and leads from frame A to frame B.
/// </summary>
public static class AemFile
{
    /// <summary>Reads a file's text; every mistake in it is reported.</summary>
    public static ReadResult<AemAttitude> Read(string file, string text) => new AemReader(file, text).Read();
}

internal sealed class AemReader(string file, string text)
{
    private static readonly string[] HeaderKeys = ["CCSDS_AEM_VERS", "CLASSIFICATION", "CREATION_DATE", "ORIGINATOR", "MESSAGE_ID"];
    private static readonly string[] MetaKeys =
    [
        "OBJECT_NAME", "OBJECT_ID", "CENTER_NAME", "REF_FRAME_A", "REF_FRAME_B", "ATTITUDE_DIR", "TIME_SYSTEM", "START_TIME", "USEABLE_START_TIME",
        "USEABLE_STOP_TIME", "STOP_TIME", "ATTITUDE_TYPE", "QUATERNION_TYPE", "EULER_ROT_SEQ", "RATE_FRAME", "ANGVEL_FRAME", "INTERPOLATION_METHOD", "INTERPOLATION_DEGREE",
    ];
    private static readonly string[] Required = ["REF_FRAME_A", "REF_FRAME_B", "TIME_SYSTEM", "START_TIME", "STOP_TIME", "ATTITUDE_TYPE"];

    private readonly FileErrors _errors = new(file);
    private readonly List<AemSegment> _segments = [];
    private readonly List<(int Line, AemNode Node)> _nodes = [];
    private readonly Dictionary<string, KvnLine> _meta = [];
    private int _metaLine, _fields;
    private bool _metaUsable, _scalarFirst, _bodyToFrame;
    private CcsdsFrame _frame;
    private CalendarScale _scale;

    public ReadResult<AemAttitude> Read()
    {
        var lines = KvnLine.Split(text);
        if (lines.Count == 0 || lines[0].Key != "CCSDS_AEM_VERS")
            _errors.Add(lines.Count == 0 ? 0 : lines[0].Number, lines.Count == 0 ? "an empty file" : $"'{Shown(lines[0])}'", "CCSDS_AEM_VERS = 1.0 as the first line of an attitude ephemeris message");
        else if (lines[0].Value is not ("1.0" or "2.0"))
            _errors.Add(lines[0].Number, $"CCSDS_AEM_VERS = {lines[0].Value}", "1.0 or 2.0");
        var version1 = lines.Count > 0 && lines[0].Value == "1.0";

        bool inMeta = false, inData = false, sawMeta = false;
        foreach (var line in lines)
        {
            var marker = line.Key == "" ? line.Value : "";
            if (marker == "META_START")
            {
                if (inMeta || inData) _errors.Add(line.Number, "META_START", inMeta ? $"META_STOP first, for the block begun in line {_metaLine}" : "DATA_STOP first");
                if (inData) EndSegment();
                (inMeta, inData, sawMeta, _metaLine) = (true, false, true, line.Number);
                _meta.Clear();
            }
            else if (marker == "META_STOP")
            {
                if (!inMeta) _errors.Add(line.Number, "META_STOP", "META_START before it");
                inMeta = false;
                EndMeta(version1);
            }
            else if (marker == "DATA_START")
            {
                if (inMeta || !sawMeta) _errors.Add(line.Number, "DATA_START", "a block META_START … META_STOP before it");
                inData = true;
            }
            else if (marker == "DATA_STOP")
            {
                if (!inData) _errors.Add(line.Number, "DATA_STOP", "DATA_START before it");
                else EndSegment();
                inData = false;
            }
            else if (inMeta)
            {
                if (line.Key == "" || !MetaKeys.Contains(line.Key)) _errors.Add(line.Number, $"'{Shown(line)}'", $"one of {string.Join(", ", MetaKeys)}, or META_STOP");
                else if (!_meta.TryAdd(line.Key, line)) _errors.Add(line.Number, $"{line.Key} a second time", $"it once in a block (first in line {_meta[line.Key].Number})");
            }
            else if (inData) AttitudeLine(line);
            else if (sawMeta || !HeaderKeys.Contains(line.Key))
                _errors.Add(line.Number, $"'{Shown(line)}'", sawMeta ? "META_START or DATA_START" : $"one of {string.Join(", ", HeaderKeys)}, or META_START");
        }
        if (inMeta) _errors.Add(_metaLine, "META_START without META_STOP", "META_STOP before the attitudes");
        if (inData) _errors.Add(0, "DATA_START without DATA_STOP", "DATA_STOP at the end: the file may be cut");
        if (_segments.Count == 0 && _errors.Count == 0) _errors.Add(0, "no segment", "META_START … META_STOP and DATA_START … DATA_STOP");
        return _errors.Result(() => new AemAttitude(_segments));
    }

    private static string Shown(KvnLine line) => line.Key == "" ? line.Value : $"{line.Key} = {line.Value}";

    private string? Value(string key) => _meta.TryGetValue(key, out var line) ? line.Value.ToUpperInvariant() : null;

    private void Is(string key, params string[] values)
    {
        if (Value(key) is { } value && !values.Contains(value)) _errors.Add(_meta[key].Number, $"{key} = {_meta[key].Value}", string.Join(" or ", values));
    }

    private void EndMeta(bool version1)
    {
        var before = _errors.Count;
        foreach (var key in version1 ? [.. Required, "ATTITUDE_DIR", "QUATERNION_TYPE"] : Required)
            if (!_meta.ContainsKey(key)) _errors.Add(_metaLine, $"no {key}", $"{key} in the block that begins here");
        Is("CENTER_NAME", "EARTH");
        Is("TIME_SYSTEM", "UTC", "TAI", "GPS", "TT");
        Is("ATTITUDE_TYPE", "QUATERNION", "QUATERNION/DERIVATIVE", "QUATERNION/RATE", "QUATERNION/ANGVEL");
        Is("ATTITUDE_DIR", "A2B", "B2A");
        Is("QUATERNION_TYPE", "FIRST", "LAST");
        // Slerp is what "linear" means for a rotation.
        Is("INTERPOLATION_METHOD", "LINEAR", "SLERP", "LAGRANGE");
        if (Value("INTERPOLATION_DEGREE") is { } degree && !(int.TryParse(degree, out var d) && d is >= 1 and <= 31))
            _errors.Add(_meta["INTERPOLATION_DEGREE"].Number, $"INTERPOLATION_DEGREE = {degree}", "a whole number from 1 to 31");

        bool bodyIsA = false;
        if (Value("REF_FRAME_A") is { } a && Value("REF_FRAME_B") is { } b)
        {
            static bool IsBody(string name) => name.StartsWith("SC_BODY", StringComparison.Ordinal) || name == "BODY";
            bodyIsA = IsBody(a);
            if (bodyIsA == IsBody(b))
                _errors.Add(_meta["REF_FRAME_B"].Number, $"REF_FRAME_A = {_meta["REF_FRAME_A"].Value} and REF_FRAME_B = {_meta["REF_FRAME_B"].Value}", $"one of them SC_BODY_n and the other {CcsdsFrames.Names}");
            else
            {
                var key = bodyIsA ? "REF_FRAME_B" : "REF_FRAME_A";
                if (!CcsdsFrames.TryParse(_meta[key].Value, out _frame)) _errors.Add(_meta[key].Number, $"{key} = {_meta[key].Value}", CcsdsFrames.Names);
            }
        }
        _metaUsable = _errors.Count == before;
        if (!_metaUsable) return;
        _scale = Enum.Parse<CalendarScale>(Value("TIME_SYSTEM")!, ignoreCase: true);
        _scalarFirst = Value("QUATERNION_TYPE") == "FIRST";
        _bodyToFrame = bodyIsA == (Value("ATTITUDE_DIR") != "B2A");
        _fields = Value("ATTITUDE_TYPE") switch { "QUATERNION" => 5, "QUATERNION/DERIVATIVE" => 9, _ => 8 };
    }

    private void AttitudeLine(KvnLine line)
    {
        if (!_metaUsable) return;
        var parts = Shown(line).Split((char[]?)null, StringSplitOptions.RemoveEmptyEntries);
        if (parts.Length != _fields)
        {
            _errors.Add(line.Number, $"{parts.Length} fields: '{Shown(line)}'", $"{_fields}: a time and {_fields - 1} numbers, for ATTITUDE_TYPE = {_meta["ATTITUDE_TYPE"].Value}");
            return;
        }
        if (!Instant.TryParse(parts[0], _scale, out var time))
        {
            _errors.Add(line.Number, $"the time '{parts[0]}'", "yyyy-mm-ddThh:mm:ss[.fff] or yyyy-dddThh:mm:ss[.fff]");
            return;
        }
        Span<double> q = stackalloc double[4];
        for (var i = 0; i < 4; i++)
            if (!KvnLine.TryNumber(parts[i + 1], out q[i]))
            {
                _errors.Add(line.Number, $"'{parts[i + 1]}' as number {i + 1}", "a number");
                return;
            }
        var rotation = _scalarFirst ? new Quaternion(q[0], q[1], q[2], q[3]) : new Quaternion(q[3], q[0], q[1], q[2]);
        if (Math.Abs(rotation.Norm - 1) > 1e-3)
        {
            _errors.Add(line.Number, FormattableString.Invariant($"a quaternion of length {rotation.Norm:G6}"), "length 1 within 0.001");
            return;
        }
        if (_nodes.Count > 0 && time <= _nodes[^1].Node.Time)
        {
            _errors.Add(line.Number, $"the time {parts[0]}", $"one after that of line {_nodes[^1].Line}");
            return;
        }
        rotation = rotation.Normalized();
        _nodes.Add((line.Number, new AemNode(time, _bodyToFrame ? rotation.Conjugate() : rotation)));
    }

    private void EndSegment()
    {
        var nodes = _nodes.Select(n => n.Node).ToList();
        _nodes.Clear();
        if (!_metaUsable) return;
        var before = _errors.Count;
        var (start, stop) = (Time("START_TIME"), Time("STOP_TIME"));
        var (from, to) = (Time("USEABLE_START_TIME") ?? start, Time("USEABLE_STOP_TIME") ?? stop);
        if (_errors.Count > before) return;
        if (stop < start) _errors.Add(_meta["STOP_TIME"].Number, $"STOP_TIME {_meta["STOP_TIME"].Value}", "a time after START_TIME");
        else if (nodes.Count < 2) _errors.Add(_metaLine, $"{nodes.Count} attitudes in the segment that begins here", "at least two, to interpolate between");
        else if (from > to || from > nodes[^1].Time || to < nodes[0].Time)
            _errors.Add(_metaLine, $"attitudes from {nodes[0].Time} to {nodes[^1].Time} and a usable stretch from {from} to {to}", "stretches that overlap");
        if (_errors.Count > before) return;
        var degree = Value("INTERPOLATION_METHOD") == "LAGRANGE" ? int.Parse(Value("INTERPOLATION_DEGREE") ?? "1", System.Globalization.CultureInfo.InvariantCulture) : 1;
        _segments.Add(new AemSegment(nodes, _frame, degree, new TimeStretch(from!.Value, to!.Value)));
    }

    private Instant? Time(string key)
    {
        if (!_meta.TryGetValue(key, out var line)) return null;
        if (Instant.TryParse(line.Value, _scale, out var time)) return time;
        _errors.Add(line.Number, $"{key} = {line.Value}", "yyyy-mm-ddThh:mm:ss[.fff] or yyyy-dddThh:mm:ss[.fff]");
        return null;
    }
}
