using System.Data;
using Phasekeeper.Core.Time;
using Phasekeeper.Storage;

namespace Phasekeeper.Web.Features.SignIn;

/// <summary>What an entry of the record says about refused sign-ins that it sums up.</summary>
/// <param name="Refused">How many.</param>
/// <param name="FirstUtc">The first of them, UTC.</param>
/// <param name="LastUtc">The last of them, UTC.</param>
/// <param name="From">How many by address.</param>
/// <param name="Elsewhere">How many from further addresses.</param>
public sealed record RefusedSum(int Refused, string FirstUtc, string LastUtc, IReadOnlyDictionary<string, int> From, int Elsewhere);

/// <summary>
/// Refused sign-ins for the record. The first one of an account becomes an entry at once; those that follow within the same while are counted and become one entry together when it is over, when
/// sign-in pauses, when the person signs in, or when the program stops. So nobody can fill the chain by guessing: an account gets five entries at most in the time of a pause, its own among them. A name that nobody has is never written down, since
/// people type passwords into the wrong field: all of those are counted as one.
/// </summary>
/// <param name="stores">Where the record is.</param>
/// <param name="clock">The wall clock.</param>
/// <param name="log">Where it stands when entries could not be written.</param>
public sealed partial class RefusedSignIns(Stores stores, TimeProvider clock, ILogger<RefusedSignIns> log) : BackgroundService
{
    /// <summary>Subject of entries about names that nobody has.</summary>
    public const string Nobody = "a name that nobody has";

    /// <summary>Chosen: the length of a pause, so that a pause and what led to it stand side by side.</summary>
    public static readonly TimeSpan While = SignInRegistration.Pause;

    // Chosen: enough to see whether one machine guesses or many; an entry must not grow with the number of machines.
    private const int MostAddresses = 10;

    // Chosen: an entry is at most so much later than the while that it sums up.
    private static readonly TimeSpan Look = TimeSpan.FromMinutes(1);

    private readonly Lock gate = new();
    private readonly Dictionary<string, Count> counts = new(StringComparer.Ordinal);

    /// <summary>Counts a refused sign-in; the first of a while is on record when this ends.</summary>
    /// <param name="name">The account's own name, never what was typed; null where nobody has the name.</param>
    /// <param name="address">From where.</param>
    public async Task AddAsync(string? name, string? address)
    {
        var (subject, now) = (name ?? Nobody, Now());
        Count? over = null;
        lock (gate)
        {
            if (counts.TryGetValue(subject, out var running))
            {
                if (now < running.Until)
                {
                    running.Add(address, now);
                    return;
                }
                over = running;
            }
            counts[subject] = new Count(now.AddSeconds(While.TotalSeconds));
        }
        await stores.Database.WriteAsync(t =>
        {
            if (over is not null) Append(t, subject, over, now);
            RecordStore.Append(t, Actor.System with { Address = address }, PeopleRecordKinds.Refuse, subject, null, null, null, now);
            return true;
        }).ConfigureAwait(false);
    }

    /// <summary>Ends a name's while and writes what was counted, within the transaction of what ends it: a pause or a sign-in.</summary>
    public void Close(IDbTransaction transaction, string name)
    {
        Count? counted;
        lock (gate) counts.Remove(name, out counted);
        if (counted is not null) Append(transaction, name, counted, Now());
    }

    /// <summary>Writes what was counted in every while that is over.</summary>
    /// <param name="all">Also in those that are not.</param>
    public async Task WriteAsync(bool all)
    {
        var now = Now();
        KeyValuePair<string, Count>[] over;
        lock (gate)
        {
            over = [.. counts.Where(c => all || now >= c.Value.Until)];
            foreach (var (subject, _) in over) counts.Remove(subject);
        }
        if (!over.Any(c => c.Value.Number > 0)) return;
        await stores.Database.WriteAsync(t =>
        {
            foreach (var (subject, counted) in over) Append(t, subject, counted, now);
            return true;
        }).ConfigureAwait(false);
    }

    /// <inheritdoc/>
    public override async Task StopAsync(CancellationToken cancellationToken)
    {
        await base.StopAsync(cancellationToken).ConfigureAwait(false);
        await TryWriteAsync(all: true).ConfigureAwait(false);
    }

    /// <inheritdoc/>
    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        using var timer = new PeriodicTimer(Look, clock);
        try
        {
            while (await timer.WaitForNextTickAsync(stoppingToken).ConfigureAwait(false)) await TryWriteAsync(all: false).ConfigureAwait(false);
        }
        catch (OperationCanceledException) when (stoppingToken.IsCancellationRequested)
        {
            // The program stops; what is counted so far is written by StopAsync.
        }
    }

    // Counts that cannot be written must not end the program; the record's own watch tells what is wrong with it.
    private async Task TryWriteAsync(bool all)
    {
        try
        {
            await WriteAsync(all).ConfigureAwait(false);
        }
        catch (Exception e) when (e is not OutOfMemoryException)
        {
            LogNotWritten(e);
        }
    }

    private static void Append(IDbTransaction transaction, string subject, Count counted, Instant now)
    {
        if (counted.Number == 0) return;
        RecordStore.Append(transaction, Actor.System, PeopleRecordKinds.Refuse, subject, null, counted.Sum(), $"{counted.Number} more refused after the first", now);
    }

    private Instant Now() => Instant.FromDateTimeUtc(clock.GetUtcNow().UtcDateTime);

    [LoggerMessage(Level = LogLevel.Error, Message = "Refused sign-ins that were counted could not be written to the record and are lost: see the exception, and the page Record.")]
    private partial void LogNotWritten(Exception e);

    // What followed the first refusal within one while; changed under the gate only, and no more once it has left the table.
    private sealed class Count(Instant until)
    {
        private readonly Dictionary<string, int> from = new(StringComparer.Ordinal);
        private int elsewhere;
        private Instant first, last;

        public Instant Until { get; } = until;

        public int Number { get; private set; }

        public void Add(string? address, Instant now)
        {
            if (Number++ == 0) first = now;
            last = now;
            var key = address ?? "unknown";
            if (from.TryGetValue(key, out var before) || from.Count < MostAddresses) from[key] = before + 1;
            else elsewhere++;
        }

        public RefusedSum Sum() => new(Number, first.ToString(), last.ToString(), from, elsewhere);
    }
}
