using System.Xml;
using System.Xml.Linq;

namespace Phasekeeper.Packets.Xtce;

/// <summary>
/// Reads the text of an XTCE 1.2 definition (CCSDS 660.0-B-2) into a model. Elements are known by their local names, so any
/// namespace prefix will do. Document types, external entities and texts over 64 Mi characters are refused.
/// </summary>
internal static class XtceReader
{
    private const long LongestText = 64L << 20;
    private const int DeepestSystem = 64;

    public static XtceModel? Read(string text, XtceReadContext context)
    {
        XDocument document;
        try
        {
            var settings = new XmlReaderSettings { DtdProcessing = DtdProcessing.Prohibit, XmlResolver = null, MaxCharactersInDocument = LongestText };
            using var reader = XmlReader.Create(new StringReader(text.TrimStart('\uFEFF')), settings);
            document = XDocument.Load(reader, LoadOptions.SetLineInfo);
        }
        catch (XmlException e)
        {
            context.Error(e.LineNumber, "XML", $"the text is not well-formed XML as accepted here (no document type, at most {LongestText} characters): {e.Message}");
            return null;
        }
        var root = document.Root!;
        if (root.Name.LocalName != "SpaceSystem")
        {
            context.Error(root, "found as the outermost element; expected <SpaceSystem>.");
            return null;
        }
        var model = new XtceModel();
        ReadSystem(root, "", 0, model, context);
        return model;
    }

    private static void ReadSystem(XElement system, string parentPath, int depth, XtceModel model, XtceReadContext context)
    {
        var path = parentPath + "/" + context.Required(system, "name");
        if (depth > DeepestSystem)
        {
            context.Error(system, $"nested more than {DeepestSystem} deep.");
            return;
        }
        // Telecommands and services do not describe telemetry packets.
        context.Allow(system, ["TelemetryMetaData", "SpaceSystem", "CommandMetaData", "ServiceSet"], ["operationalStatus"]);
        foreach (var telemetry in XtceReadContext.Children(system, "TelemetryMetaData"))
        {
            context.Allow(telemetry, ["ParameterTypeSet", "ParameterSet", "ContainerSet"], []);
            foreach (var set in XtceReadContext.Children(telemetry, "ParameterTypeSet"))
                foreach (var type in set.Elements())
                    if (TypeReader.Read(type, path, context) is { } read) model.Types.Add(read);
            foreach (var set in XtceReadContext.Children(telemetry, "ParameterSet"))
                foreach (var parameter in set.Elements())
                    ReadParameter(parameter, path, model, context);
            foreach (var set in XtceReadContext.Children(telemetry, "ContainerSet"))
                foreach (var container in set.Elements())
                    if (ContainerReader.Read(container, path, context) is { } read) model.Containers.Add(read);
        }
        foreach (var inner in XtceReadContext.Children(system, "SpaceSystem")) ReadSystem(inner, path, depth + 1, model, context);
    }

    private static void ReadParameter(XElement parameter, string path, XtceModel model, XtceReadContext context)
    {
        if (parameter.Name.LocalName != "Parameter")
        {
            context.Error(parameter, "not supported inside <ParameterSet>; supported there: Parameter.");
            return;
        }
        // Properties say who makes a parameter, not how its bits are read.
        context.Allow(parameter, ["ParameterProperties"], ["parameterTypeRef", "initialValue"]);
        var name = context.Required(parameter, "name");
        var line = XtceReadContext.LineOf(parameter);
        model.Parameters.Add(new(name, path + "/" + name, XtceReadContext.Describe(parameter),
            new(context.Required(parameter, "parameterTypeRef"), path, line, "Parameter"), line));
    }
}
