using Phasekeeper.Packets.Xtce;

namespace Phasekeeper.Packets.Decoding;

/// <summary>Resolves names and gives parameters their slots, reporting what does not resolve.</summary>
internal sealed class SlotTable
{
    private readonly NameTable<TypeSpec> _types = new();
    private readonly NameTable<ParameterSpec> _parameters = new();
    private readonly NameTable<ContainerSpec> _containers = new();
    private readonly Dictionary<string, int> _slotOf = [];
    private readonly Dictionary<string, int> _timesNamed;
    private readonly XtceModel _model;
    private readonly XtceReadContext _context;
    private readonly PlanTables _tables;

    public SlotTable(XtceModel model, PlanTables tables, XtceReadContext context)
    {
        _model = model;
        _context = context;
        _tables = tables;
        foreach (var t in model.Types) Add(_types, t.Path, t, t.Line, "ParameterType");
        foreach (var p in model.Parameters) Add(_parameters, p.Path, p, p.Line, "Parameter");
        foreach (var c in model.Containers) Add(_containers, c.Path, c, c.Line, "SequenceContainer");
        _timesNamed = model.Parameters.GroupBy(p => p.Name).ToDictionary(g => g.Key, g => g.Count());
        foreach (var p in model.Parameters) TypeOf(p);
    }

    public ContainerSpec? FindContainer(NameRef name) => Find(_containers, name, "container");

    public ParameterSpec? FindParameter(NameRef name) => Find(_parameters, name, "parameter");

    /// <summary>A parameter or container that the profile names: by its path, or by a name that only one has.</summary>
    public string? PathOfProfileName(string name, bool container, string setting)
    {
        var paths = container ? _model.Containers.Select(c => (c.Name, c.Path)) : _model.Parameters.Select(p => (p.Name, p.Path));
        var found = paths.Where(p => p.Path == name || p.Name == name).Select(p => p.Path).Distinct().ToList();
        if (found.Count == 1) return found[0];
        var what = container ? "container" : "parameter";
        _context.Error(0, setting, found.Count == 0 ? $"the definition has no {what} '{name}'." : $"the definition has several: {string.Join(", ", found)}; write the whole path.");
        return null;
    }

    public ParameterSpec? ParameterAt(string path) => _model.Parameters.Find(p => p.Path == path);

    public TypeSpec? TypeOf(ParameterSpec parameter) => Find(_types, parameter.Type, "parameter type");

    public TypeSpec? FindType(NameRef name) => Find(_types, name, "parameter type");

    public string NameOf(ParameterSpec parameter) => _timesNamed[parameter.Name] > 1 ? parameter.Path : parameter.Name;

    /// <summary>Slot of a parameter that holds one value; −1 (with an error) when it cannot be resolved.</summary>
    public int SlotOf(NameRef name) => FindParameter(name) is { } p ? SlotOf(p, name) : -1;

    public int SlotOf(ParameterSpec parameter, NameRef user)
    {
        if (TypeOf(parameter) is not { } type) return -1;
        if (type.Kind != ParameterKind.Array) return SlotOf(parameter.Path, NameOf(parameter), parameter.Description, type);
        _context.Error(user.Line, user.Element, $"'{user.Text}' is an array; expected a parameter with one value.");
        return -1;
    }

    public int SlotOf(string path, string name, string? description, TypeSpec type)
    {
        if (_slotOf.TryGetValue(path, out var slot)) return slot;
        slot = _tables.Slots.Count;
        _slotOf.Add(path, slot);
        _tables.Slots.Add(new Slot { Name = name, Path = path, Description = description ?? type.Description, Type = type, Calibrator = type.Number?.Calibrator });
        return slot;
    }

    private void Add<T>(NameTable<T> table, string path, T thing, int line, string element) where T : class
    {
        if (!table.TryAdd(path, thing)) _context.Error(line, element, $"the name {path} is declared twice.");
    }

    private T? Find<T>(NameTable<T> table, NameRef name, string what) where T : class
    {
        if (name.Text.Length == 0) return null;
        var found = table.Find(name.Text, name.SystemPath);
        if (found is null) _context.Error(name.Line, name.Element, $"no {what} '{name.Text}' in {name.SystemPath} or the systems around it.");
        return found;
    }
}
