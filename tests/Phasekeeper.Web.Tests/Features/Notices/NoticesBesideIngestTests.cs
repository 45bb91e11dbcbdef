using System.Text.Json;
using Microsoft.AspNetCore.Hosting;
using Phasekeeper.Core.Notices;
using Phasekeeper.Core.Time;
using Phasekeeper.Demo.Scenario;
using Phasekeeper.Storage;
using Phasekeeper.Tests;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Features.Notices;

/// <summary>Ingest goes on, and makes the same, while a mail server hangs; and the mail server's password stands nowhere.</summary>
public sealed class NoticesBesideIngestTests
{
    private const string Kim = "demo analyst", Password = "a password of the mail server";

    [Fact]
    public async Task Ingest_ends_and_makes_the_same_while_the_mail_server_has_not_answered()
    {
        using var mail = new SmtpReceiver([.. Enumerable.Repeat(Behaviour.Hangs, 50)]);
        using var host = new MissionWithMail(mail.Port);
        await host.WaitUntilIdle();
        var now = Instant.FromDateTimeUtc(DateTime.UtcNow);
        await host.Stores.Database.WriteAsync(t =>
        {
            NoticeStore.Add(t, new(new() { Id = "s", Person = Kim, Channel = NoticeChannel.Email, Target = "kim@mission.example", LeastSeverity = Core.Flags.FlagSeverity.Notice, Kinds = NoticeKinds.Raised }, null, now.AddSeconds(-1)));
            NoticeQueue.Add(t, new() { Id = "m", Subscription = "s", Person = Kim, Subject = "Kittiwake: critical", Created = now, Since = now, NextAttempt = now, Changed = now });
        });
        // The program's own loop talks to a server that will never say a word.
        await mail.ConnectedAsync();
        await host.Post(host.Packets);
        await host.WaitUntilIdle();
        var with = await host.MadeAsync();
        Assert.NotEqual(NoticeStates.Sent, host.Stores.NoticeQueue.Get("m")!.State);
        Assert.Empty(mail.Taken);

        using var alone = new MissionWithMail(null);
        await alone.Post(alone.Packets);
        await alone.WaitUntilIdle();
        Assert.Equal(await alone.MadeAsync(), with);
        // Not two empty answers.
        Assert.True(with.Length > 10_000, with);
    }

    [Fact]
    public async Task The_password_of_the_mail_server_stands_on_no_page_and_in_no_answer()
    {
        using var mail = new SmtpReceiver();
        using var host = new MissionWithMail(mail.Port);
        using var browser = host.CreateClient();
        browser.DefaultRequestHeaders.Add("Cookie", $"{Web.Api.Access.DemoAccess.RoleCookie}={Roles.Administrator}");
        foreach (var path in new[] { "/notices", "/account/notices", "/api/v1/notices", "/api/v1/notices/settings", "/api/v1/record", "/record" })
        {
            var text = await browser.GetStringAsync(new Uri(path, UriKind.Relative));
            Assert.DoesNotContain(Password, text, StringComparison.Ordinal);
            if (path == "/notices") Assert.Contains("password set", text, StringComparison.Ordinal);
        }
    }

    /// <summary>Three hours of a mission, with its notices by one mail server or none.</summary>
    private sealed class MissionWithMail : WebHost
    {
        private readonly string profile = Directory.CreateTempSubdirectory("phasekeeper-profile-").FullName;
        private readonly int? port;

        public MissionWithMail(int? port)
        {
            this.port = port;
            var mission = new ScenarioGenerator(DemoScenario.Default, events: []);
            mission.WriteProfile(profile, DemoScenario.Default.Start.AddSeconds(86_400));
            Packets = mission.PacketsFor(mission.FirstPacket, DemoScenario.Default.Start.AddSeconds(600), Environment.ProcessorCount);
        }

        public byte[] Packets { get; }

        protected override string Profile => profile;

        /// <summary>What ingest made, as the API tells it.</summary>
        public async Task<string> MadeAsync()
        {
            using var client = CreateClient();
            var parts = new List<string>();
            foreach (var path in new[] { "fringes?limit=1000000", "trackers/channel-mean?limit=1000000" })
            {
                var answer = JsonDocument.Parse(await client.GetStringAsync(ApiClient.Address(path))).RootElement;
                parts.Add(answer.GetRawText());
            }
            return string.Join('\n', parts);
        }

        protected override void ConfigureWebHost(IWebHostBuilder builder)
        {
            base.ConfigureWebHost(builder);
            if (port is null) return;
            builder.UseSetting("Phasekeeper:Notices:Smtp:Host", "127.0.0.1");
            builder.UseSetting("Phasekeeper:Notices:Smtp:Port", port.Value.ToString(System.Globalization.CultureInfo.InvariantCulture));
            builder.UseSetting("Phasekeeper:Notices:Smtp:Security", "starttls");
            builder.UseSetting("Phasekeeper:Notices:Smtp:From", "phasekeeper@mission.example");
            builder.UseSetting("Phasekeeper:Notices:Smtp:User", "phasekeeper");
            builder.UseSetting("Phasekeeper:Notices:Smtp:Password", Password);
        }

        protected override void Dispose(bool disposing)
        {
            base.Dispose(disposing);
            if (disposing) TestFolder.Delete(profile);
        }
    }
}
