using Microsoft.AspNetCore.DataProtection;
using Microsoft.Extensions.Logging;
using Microsoft.Extensions.Options;
using Microsoft.Extensions.Time.Testing;
using Phasekeeper.Core.Notices;
using Phasekeeper.Core.Time;
using Phasekeeper.Storage;
using Phasekeeper.Tests;
using Phasekeeper.Web.Features.Notices;
using Phasekeeper.Web.Hosting;

namespace Phasekeeper.Web.Tests.Features.Notices;

/// <summary>Stores with a queue of messages, the delivery's own code, and a clock that stands until it is moved.</summary>
internal sealed class NoticeRig : IDisposable
{
    private readonly string folder = Path.Combine(Path.GetTempPath(), "pk-notices-" + Guid.NewGuid().ToString("N"));
    private readonly WebhookSender hooks;
    private readonly IOptions<PhasekeeperOptions> options;
    private readonly ListLog log = new();
    private int count;

    public NoticeRig(int smtpPort = 1, string? networks = "127.0.0.0/8", Action<SmtpOptions>? smtp = null)
    {
        Stores = Stores.Open(folder);
        Keys = new(new EphemeralDataProtectionProvider());
        options = Options.Create(new PhasekeeperOptions
        {
            Notices = new() { WebhookNetworks = networks, Smtp = new() { Host = "127.0.0.1", Port = smtpPort, Security = "none", From = "phasekeeper@mission.example" } },
        });
        smtp?.Invoke(options.Value.Notices.Smtp);
        hooks = new(options, Clock);
    }

    public Stores Stores { get; }

    /// <summary>Who may sign in.</summary>
    public IReadOnlyList<string> People { get; set; } = ["kim"];

    /// <summary>Lines of the log.</summary>
    public IReadOnlyCollection<string> Logged => log.Lines;

    public NoticeKeys Keys { get; }

    public FakeTimeProvider Clock { get; } = new(new DateTimeOffset(2031, 3, 2, 12, 0, 0, TimeSpan.Zero));

    public Instant Now => Instant.FromDateTimeUtc(Clock.GetUtcNow().UtcDateTime);

    /// <summary>The key of the last webhook, as it was shown.</summary>
    public string Key { get; private set; } = "";

    public NoticeDelivery Delivery() => new(Stores, [new MailSender(options), hooks], Keys, new(Stores, () => People), Clock, log);

    public async Task<string> SubscribeAsync(NoticeChannel channel, string target, QuietHours? quiet = null)
    {
        var id = Guid.NewGuid().ToString("N");
        var (shown, kept) = Keys.New();
        Key = shown;
        await Stores.Database.WriteAsync(t => NoticeStore.Add(t, new(new() { Id = id, Person = "kim", Channel = channel, Target = target, Kinds = NoticeKinds.Raised, Quiet = quiet }, channel == NoticeChannel.Webhook ? kept : null, Now)));
        return id;
    }

    public async Task<string> QueueAsync(string subscription, string subject = "Kittiwake: critical")
    {
        var id = NoticePlanner.IdOf(subscription, [$"step.{++count}"]);
        await Stores.Database.WriteAsync(t => NoticeQueue.Add(t, new()
        {
            Id = id,
            Subscription = subscription,
            Person = "kim",
            Subject = subject,
            Text = "plain words",
            Html = "<p>html words</p>",
            Json = $$"""{"id":"{{id}}"}""",
            Created = Now,
            Since = Now,
            NextAttempt = Now,
            Changed = Now,
        }));
        return id;
    }

    /// <summary>Moves the clock from try to try until nothing waits; gives the number of tries.</summary>
    public async Task<int> RunOutAsync()
    {
        var delivery = Delivery();
        for (var tries = 0; ; tries++)
        {
            await delivery.DeliverDueAsync();
            if (Stores.NoticeQueue.List(NoticeStates.Waiting, 100) is not { Count: > 0 } waiting) return tries + 1;
            Clock.Advance(TimeSpan.FromSeconds(Math.Max(0, waiting.Min(m => m.NextAttempt) - Now) + 0.001));
        }
    }

    public void Dispose()
    {
        hooks.Dispose();
        Stores.Dispose();
        TestFolder.Delete(folder);
    }

    private sealed class ListLog : ILogger<NoticeDelivery>
    {
        public System.Collections.Concurrent.ConcurrentQueue<string> Lines { get; } = new();

        public IDisposable? BeginScope<TState>(TState state)
            where TState : notnull => null;

        public bool IsEnabled(LogLevel logLevel) => true;

        public void Log<TState>(LogLevel logLevel, EventId eventId, TState state, Exception? exception, Func<TState, Exception?, string> formatter) => Lines.Enqueue(formatter(state, exception) + exception);
    }
}
