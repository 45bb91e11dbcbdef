using System.IO.Compression;
using System.Text.Json;
using System.Text.Json.Nodes;
using Microsoft.AspNetCore.Components;
using Microsoft.AspNetCore.Components.Forms;
using Phasekeeper.Core.Input;
using Phasekeeper.Core.Text;
using Phasekeeper.Pipeline.Coefficients;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.People;
using Phasekeeper.Web.Shared.Numbers;

namespace Phasekeeper.Web.Features.Coefficients;

/// <summary>Brings a set as files: the contract's JSON with its flat fields, or a zip of them as the export gives it.</summary>
public sealed partial class ImportPanel(CoefficientDesk desk, MissionFolder folder, Stores stores, ICurrentActor actor)
{
    // Chosen: flat fields of a large detector as text; more comes by the API.
    private const long LargestBytes = 64_000_000;
    private const int MostFiles = 100;
    private string? reason;
    private string? said;

    /// <summary>Called when a set was proposed.</summary>
    [Parameter]
    public EventCallback OnChanged { get; set; }

    private async Task TakeAsync(InputFileChangeEventArgs change)
    {
        try
        {
            var files = new Dictionary<string, string>(StringComparer.Ordinal);
            foreach (var file in change.GetMultipleFiles(MostFiles))
            {
                if (file.Size > LargestBytes) throw new InvalidDataException($"{file.Name} has {NumberText.Bytes(file.Size)}; at most {NumberText.Bytes(LargestBytes)} can be sent here. Use the API.");
                using var content = new MemoryStream();
                await using (var stream = file.OpenReadStream(LargestBytes)) await stream.CopyToAsync(content);
                Add(files, file.Name, content.ToArray());
            }
            var proposal = ProposalReader.Read(Body(files, reason), null, folder, stores.Coefficients);
            var id = await desk.ProposeAsync(proposal, await actor.GetAsync(Roles.Analyst));
            (said, reason) = ($"Proposed as number {id}, '{proposal.Set.Name}'. It waits for a calibration lead.", null);
        }
        catch (Exception e) when (e is InputException or DecisionRefusedException or AccessDeniedException or InvalidDataException or IOException)
        {
            said = e.Message;
        }
        await OnChanged.InvokeAsync();
    }

    internal static void Add(Dictionary<string, string> files, string name, byte[] content)
    {
        if (!name.EndsWith(".zip", StringComparison.OrdinalIgnoreCase))
        {
            files[name] = AuxiliaryReader.Text(content);
            return;
        }
        using var zip = new ZipArchive(new MemoryStream(content), ZipArchiveMode.Read);
        foreach (var entry in zip.Entries.Where(e => e.Name.Length > 0))
        {
            // Before it is unpacked: a small zip can hold much.
            if (entry.Length > LargestBytes) throw new InvalidDataException($"{entry.Name} in {name} has {NumberText.Bytes(entry.Length)}; at most {NumberText.Bytes(LargestBytes)} can be sent here.");
            // What a zip says of its sizes need not be so.
            using var unpacked = new MemoryStream();
            using (var stream = entry.Open())
            {
                var buffer = new byte[81920];
                for (int read; (read = stream.Read(buffer)) > 0; unpacked.Write(buffer, 0, read))
                    if (unpacked.Length + read > LargestBytes) throw new InvalidDataException($"{entry.Name} in {name} unpacks to more than the {NumberText.Bytes(LargestBytes)} that can be sent here, which is not what it says.");
            }
            files[entry.Name] = AuxiliaryReader.Text(unpacked.ToArray());
        }
    }

    // The one form that carries flat fields and a reason; a file that is a whole proposal already is taken as it is.
    internal static string Body(IReadOnlyDictionary<string, string> files, string? reason)
    {
        var sets = files.Where(f => f.Key.EndsWith(".json", StringComparison.OrdinalIgnoreCase)).ToArray();
        if (sets.Length != 1) throw new InvalidDataException($"Found {sets.Length} JSON files; expected one, coefficients.json, with the flat fields that it names.");
        if (!WholeText.IsInJson(sets[0].Value)) throw new InvalidDataException($"{sets[0].Key}: found {WholeText.Found}; expected {WholeText.Expected}.");
        if (files.FirstOrDefault(f => !WholeText.Is(f.Key) || !WholeText.Is(f.Value)).Key is not null || !WholeText.Is(reason ?? "")) throw new InvalidDataException($"Found {WholeText.Found} in a file or the reason; expected {WholeText.Expected}.");
        JsonNode? node;
        try
        {
            node = JsonNode.Parse(sets[0].Value, documentOptions: new() { CommentHandling = JsonCommentHandling.Skip, AllowTrailingCommas = true });
            // Repeated keys show when an object is first looked into.
            _ = node is JsonObject { Count: 0 };
        }
        catch (ArgumentException e)
        {
            throw new InvalidDataException($"{sets[0].Key}: found a repeated key ({e.Message}); expected each key once.", e);
        }
        catch (JsonException e)
        {
            throw new InvalidDataException($"{sets[0].Key}, line {e.LineNumber + 1}: found text that is not JSON.", e);
        }
        if (node is JsonObject whole && !whole.ContainsKey("schema"))
        {
            whole["reason"] ??= reason;
            return whole.ToJsonString();
        }
        var flats = new JsonObject();
        foreach (var (name, text) in files.Where(f => f.Key != sets[0].Key)) flats[name] = text;
        return new JsonObject { ["coefficients"] = node, ["flats"] = flats, ["reason"] = reason }.ToJsonString();
    }
}
