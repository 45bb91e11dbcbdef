using System.Text.Json;
using Deque.AxeCore.Commons;
using Microsoft.Playwright;

namespace Phasekeeper.EndToEnd.Tests.Journeys;

/// <summary>axe-core on a page: the rules of WCAG 2.0 to 2.2, levels A and AA, that a program can check.</summary>
internal static class Axe
{
    private static readonly string Script = ReadScript();

    private static readonly object Options = new
    {
        runOnly = new { type = "tag", values = new[] { "wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa" } },
        // Level AA of WCAG 2.2, which axe leaves out unless it is asked for.
        rules = new Dictionary<string, object> { ["target-size"] = new { enabled = true } },
        resultTypes = new[] { "violations" },
        // Nothing of ours comes from elsewhere.
        preload = false,
    };

    /// <summary>One fault at one element.</summary>
    /// <param name="Rule">Id of the rule.</param>
    /// <param name="Text">Which element, and what is wrong with it.</param>
    public sealed record Fault(string Rule, string Text);

    /// <summary>Faults of the page as it stands.</summary>
    public static async Task<IReadOnlyList<Fault>> FaultsAsync(IPage page)
    {
        // The package's own call opens a second page each time; the script is put into this one, once.
        if (!await page.EvaluateAsync<bool>("'axe' in window")) await page.EvaluateAsync(Script);
        var faults = await page.EvaluateAsync<JsonElement>(
            "options => axe.run(document, options).then(r => r.violations.flatMap(v => v.nodes.map(n => ({ rule: v.id, text: `${v.help}: ${n.target.join(' ')}: ${n.failureSummary} ${n.html}` }))))", Options);
        return [.. faults.EnumerateArray().Select(f => new Fault(f.GetProperty("rule").GetString()!, f.GetProperty("text").GetString()!))];
    }

    private static string ReadScript()
    {
        const string name = "Deque.AxeCore.Commons.Resources.axe.min.js";
        using var stream = typeof(AxeRunOptions).Assembly.GetManifestResourceStream(name) ?? throw new FileNotFoundException($"The package Deque.AxeCore.Commons holds no {name} any more: look up under which name it holds axe-core.");
        using var reader = new StreamReader(stream);
        return reader.ReadToEnd();
    }
}
