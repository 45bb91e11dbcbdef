using Microsoft.AspNetCore.Components;
using Phasekeeper.Core.Activities;
using Phasekeeper.Pipeline.Activities;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.People;
using Phasekeeper.Web.Shared.Times;

namespace Phasekeeper.Web.Features.Activities;

/// <summary>The form of one activity: a new one, or a change of the one that is looked at.</summary>
public sealed partial class ActivityForm(ActivityDesk desk, ICurrentActor actor)
{
    private readonly SortedSet<string> topics = new(StringComparer.Ordinal);
    private string? title, from, to, note, reason, refusal, done, saw;
    private string kind = ActivityKinds.Other.Id;
    private bool own, busy, began;

    /// <summary>The activity to be changed; null = a new one.</summary>
    [Parameter]
    public ActivityEntry? Entry { get; set; }

    /// <summary>Called with the activity's id when it was entered, changed or cancelled.</summary>
    [Parameter]
    public EventCallback<string?> OnDone { get; set; }

    /// <inheritdoc/>
    protected override void OnParametersSet()
    {
        if (began) return;
        began = true;
        if (Entry is not null) Fill(Entry);
    }

    private void Fill(ActivityEntry entry)
    {
        var a = entry.Activity;
        (title, kind, note, saw) = (a.Summary, a.Kind.Id, a.Description, entry.Revision);
        (from, to) = (UtcText.DateAndTime(a.From), UtcText.DateAndTime(a.To));
        own = a.Expects is not null;
        topics.Clear();
        topics.UnionWith((a.Expects ?? []).Select(ActivityTopics.Word));
    }

    private void Again()
    {
        if (Entry is not null) Fill(Entry);
        refusal = null;
    }

    // It begins with what the kind expects, so that one topic is added or taken away in one step.
    private void Own()
    {
        if (own && topics.Count == 0) topics.UnionWith(desk.Kinds.OrOther(kind).Expects.Select(ActivityTopics.Word));
    }

    private void Choose(string word, bool chosen)
    {
        if (chosen) topics.Add(word);
        else topics.Remove(word);
    }

    private Task SaveAsync() => DoAsync(async who =>
    {
        var start = ActivityWhen.Parse(from) ?? throw new ActivityRefusedException($"Found the start '{from}'; expected a time in UTC such as 2031-03-10 12:00:00.");
        var end = ActivityWhen.Parse(to) ?? throw new ActivityRefusedException($"Found the end '{to}'; expected a time in UTC such as 2031-03-10 12:30:00.");
        var draft = new ActivityDraft(kind, title ?? "", start, end, note, own ? [.. topics] : null, reason);
        return Entry is null ? await desk.AddAsync(draft, who) : await desk.ChangeAsync(Entry.Id, saw!, draft, who);
    }, Entry is null ? "It is entered." : "The change is saved.");

    private Task CancelAsync() => DoAsync(who => desk.CancelAsync(Entry!.Id, saw!, reason, who), "It is cancelled, and stays to be seen.");

    private async Task DoAsync(Func<Actor, Task<ActivityEntry>> work, string words)
    {
        busy = true;
        (refusal, done) = (null, null);
        string? id;
        try
        {
            var now = await work(await actor.GetAsync(Roles.Operator));
            (id, done, reason) = (now.Id, words, null);
            Fill(now);
        }
        catch (Exception stated) when (stated is InvalidOperationException or KeyNotFoundException)
        {
            (refusal, id) = (stated.Message, Entry?.Id);
        }
        finally
        {
            busy = false;
        }
        await OnDone.InvokeAsync(id);
    }
}
