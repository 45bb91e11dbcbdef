using System.Globalization;
using Microsoft.AspNetCore.Components;
using Phasekeeper.Core.Coefficients.Fits;
using Phasekeeper.Core.Input;
using Phasekeeper.Pipeline.Changes;
using Phasekeeper.Pipeline.Coefficients.Fits;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.People;
using Phasekeeper.Web.Shared.Addresses;

namespace Phasekeeper.Web.Features.Coefficients.Fits;

/// <summary>Fits numbers on a window of orbits, to look at and to propose. The choice stands in the address.</summary>
public sealed partial class FitPage(Stores stores, FitDesk fits, ICurrentActor actor)
{
    private FitDraft? draft;
    private FitChoice? tried;
    private FitTrial? trial;
    private CancellationTokenSource? trying;
    private string? refusal, proposeRefusal, name, reason;
    private int? fromOrbit;
    private bool busy;

    /// <summary>First orbit of the window.</summary>
    [SupplyParameterFromQuery(Name = "first")]
    public string? FirstText { get; set; }

    /// <summary>Last orbit of the window.</summary>
    [SupplyParameterFromQuery(Name = "last")]
    public string? LastText { get; set; }

    /// <summary>Every so-many-th orbit is held out.</summary>
    [SupplyParameterFromQuery(Name = "holdout")]
    public string? HoldOutText { get; set; }

    /// <summary>Words of the parts that are fitted, with commas between them.</summary>
    [SupplyParameterFromQuery(Name = "parts")]
    public string? PartsText { get; set; }

    private (int Read, int HeldOut) Counts => FitRequest.Counts(draft!.Last - draft.First + 1, draft.HoldOutEvery);

    private string Window => draft!.Last < draft.First ? "ends before it begins"
        : draft.HoldOutEvery == 0 ? string.Create(CultureInfo.InvariantCulture, $"{draft.Last - draft.First + 1} orbits, all fitted: nothing will tell how the fit does on orbits that it has not seen")
        : string.Create(CultureInfo.InvariantCulture, $"{draft.Last - draft.First + 1} orbits{(Counts.Read < draft.Last - draft.First + 1 ? $", of which {Counts.Read} are read" : "")}; if all are complete {Counts.HeldOut} are held out");

    /// <inheritdoc/>
    // What is being chosen stays while data come in.
    protected override bool Concerns(Change change) => draft is null && change.Kind is ChangeKind.Orbit or ChangeKind.Auxiliary;

    /// <inheritdoc/>
    protected override Func<Action> Loader(AddressReader address)
    {
        var mission = Mission!;
        return () =>
        {
            var read = mission.Instrument is null ? null : FitChoice.Read(address, FirstText, LastText, HoldOutText, PartsText, stores);
            return () => draft = read is null ? null : new(read);
        };
    }

    private async Task TryAsync()
    {
        var choice = draft!.Choice;
        (refusal, proposeRefusal, trial) = (null, null, null);
        if (choice.Request is not { } request)
        {
            refusal = choice.Parts.Count == 0 ? "Nothing is chosen to be fitted; tick at least one group of numbers." : string.Create(CultureInfo.InvariantCulture, $"The window ends at orbit {choice.Last}, before it begins at {choice.First}.");
            return;
        }
        using var cancel = new CancellationTokenSource();
        (tried, trying) = (choice, cancel);
        try
        {
            await actor.GetAsync(Roles.Analyst);
            // Off the circuit's thread: a fit reads days of fringes.
            trial = await Task.Run(() => fits.TryAsync(request, cancel.Token), cancel.Token);
            name = string.Create(CultureInfo.InvariantCulture, $"fit {choice.First}–{choice.Last}");
            SetQuery(true, ("first", choice.First), ("last", choice.Last), ("holdout", choice.HoldOutEvery), ("parts", choice.PartsWord));
        }
        catch (OperationCanceledException) when (cancel.IsCancellationRequested)
        {
            refusal = "Given up. Nothing was stored.";
        }
        catch (Exception refused) when (refused is DecisionRefusedException or AccessDeniedException or InputException)
        {
            refusal = refused.Message;
        }
        finally
        {
            trying = null;
        }
    }

    private Task GiveUp() => trying?.CancelAsync() ?? Task.CompletedTask;

    private async Task ProposeAsync()
    {
        (busy, proposeRefusal) = (true, null);
        try
        {
            var by = await actor.GetAsync(Roles.Analyst);
            var shown = trial!;
            if (await Task.Run(() => fits.Moved(shown)) is { } moved)
            {
                // Nobody proposes numbers that nobody has seen.
                trial = await Task.Run(() => fits.TryAsync(shown.Request!));
                proposeRefusal = $"{moved} Nothing was proposed. It was fitted again: the numbers above are the new ones. Look at them, and propose again.";
                return;
            }
            var id = await Task.Run(() => fits.ProposeTriedAsync(shown, name?.Trim() ?? "", fromOrbit, reason?.Trim() ?? "", by));
            Navigation.NavigateTo(string.Create(CultureInfo.InvariantCulture, $"/coefficients/proposals/{id}"));
        }
        catch (Exception refused) when (refused is DecisionRefusedException or AccessDeniedException or InputException)
        {
            proposeRefusal = refused.Message;
        }
        finally
        {
            busy = false;
        }
    }

    // What the form holds; the address is written when a fit is tried.
    private sealed class FitDraft(FitChoice from)
    {
        public int First { get; set; } = from.First;

        public int Last { get; set; } = from.Last;

        public int HoldOutEvery { get; set; } = from.HoldOutEvery;

        public SortedSet<FitPart> Parts { get; } = [.. from.Parts];

        public FitChoice Choice => new(First, Last, HoldOutEvery, [.. Parts]);

        public void Set(FitPart part, bool isOn)
        {
            if (isOn) Parts.Add(part);
            else Parts.Remove(part);
        }
    }
}
