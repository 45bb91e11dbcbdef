using System.Diagnostics;
using System.Globalization;
using System.Net;
using System.Text.RegularExpressions;
using Phasekeeper.Core.Notices;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.Notices;

namespace Phasekeeper.Web.Tests.Features.Notices;

/// <summary>Delivery to receivers on this machine that fail at times: everything arrives, repeats are told by their id, and nobody waits for a receiver that hangs.</summary>
public sealed partial class NoticeDeliveryTests
{
    [Fact]
    public async Task Mail_arrives_whatever_the_server_does_at_first()
    {
        using var server = new SmtpReceiver(Behaviour.Temporary, Behaviour.DropsInTheMiddle, Behaviour.Temporary, Behaviour.DropsBeforeTheAnswer, Behaviour.Temporary);
        using var rig = new NoticeRig(server.Port);
        var subscription = await rig.SubscribeAsync(NoticeChannel.Email, "kim@mission.example");
        var ids = new List<string>();
        for (var i = 0; i < 6; i++) ids.Add(await rig.QueueAsync(subscription));
        await rig.RunOutAsync();
        Assert.All(ids, id => Assert.Equal(NoticeStates.Sent, rig.Stores.NoticeQueue.Get(id)!.State));
        var arrived = server.Taken.Select(IdOf).ToList();
        Assert.Equal(ids.Order(), arrived.Distinct().Order());
        // The one whose answer was lost came again, under the same Message-ID.
        Assert.Equal(ids.Count + 1, arrived.Count);
    }

    [Fact]
    public async Task A_mail_has_its_headers_and_both_parts_and_no_others()
    {
        using var server = new SmtpReceiver();
        using var rig = new NoticeRig(server.Port);
        var subscription = await rig.SubscribeAsync(NoticeChannel.Email, "kim@mission.example");
        await rig.QueueAsync(subscription, "Kittiwake: x\r\nBcc: all@elsewhere.example\r\n\r\nbody ü");
        await rig.RunOutAsync();
        var mail = Assert.Single(server.Taken);
        var headers = mail[..mail.IndexOf("\n\n", StringComparison.Ordinal)];
        Assert.Contains("Auto-Submitted: auto-generated", headers, StringComparison.Ordinal);
        Assert.Contains("To: kim@mission.example", headers, StringComparison.Ordinal);
        Assert.Contains("@mission.example>", headers, StringComparison.Ordinal);
        Assert.DoesNotMatch(BccHeader(), headers);
        Assert.Contains("plain words", mail, StringComparison.Ordinal);
        Assert.Contains("<p>html words</p>", mail, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_mailbox_that_is_not_there_is_given_up_at_once_and_says_why()
    {
        using var server = new SmtpReceiver(Behaviour.Permanent);
        using var rig = new NoticeRig(server.Port);
        var id = await rig.QueueAsync(await rig.SubscribeAsync(NoticeChannel.Email, "gone@mission.example"));
        Assert.Equal(1, await rig.RunOutAsync());
        var message = rig.Stores.NoticeQueue.Get(id)!;
        Assert.Equal(NoticeStates.GivenUp, message.State);
        Assert.Contains("550", message.LastError, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_server_that_is_not_there_is_given_up_after_three_days_and_a_person_can_ask_again()
    {
        int port;
        using (var gone = new SmtpReceiver()) port = gone.Port;
        using var rig = new NoticeRig(port);
        var id = await rig.QueueAsync(await rig.SubscribeAsync(NoticeChannel.Email, "kim@mission.example"));
        var begin = rig.Now;
        Assert.InRange(await rig.RunOutAsync(), 60, 110);
        Assert.Equal(NoticeStates.GivenUp, rig.Stores.NoticeQueue.Get(id)!.State);
        Assert.InRange(rig.Now - begin, (RetryPlan.GiveUpHours - 1.5) * 3600, RetryPlan.GiveUpHours * 3600);
        Assert.True(await rig.Stores.Database.WriteAsync(t => NoticeQueue.Retry(t, id, rig.Now)));
        await rig.Delivery().DeliverDueAsync();
        // It has its three days again.
        Assert.Equal(NoticeStates.Waiting, rig.Stores.NoticeQueue.Get(id)!.State);
        Assert.True(await rig.Stores.Database.WriteAsync(t => NoticeQueue.Drop(t, id, rig.Now)));
        Assert.False(await rig.Stores.Database.WriteAsync(t => NoticeQueue.Retry(t, id, rig.Now)));
    }

    [Fact]
    public async Task A_kill_between_sending_and_noting_repeats_the_same_message()
    {
        using var server = new SmtpReceiver();
        using var rig = new NoticeRig(server.Port);
        var id = await rig.QueueAsync(await rig.SubscribeAsync(NoticeChannel.Email, "kim@mission.example"));
        using var kill = new CancellationTokenSource();
        server.OnTaken = kill.Cancel;
        await Assert.ThrowsAnyAsync<OperationCanceledException>(() => rig.Delivery().DeliverDueAsync(kill.Token));
        Assert.Equal(NoticeStates.Sending, rig.Stores.NoticeQueue.Get(id)!.State);
        server.OnTaken = null;
        var again = rig.Delivery();
        Assert.Equal(0, await again.DeliverDueAsync());
        Assert.Equal(1, await again.ResumeAsync());
        await again.DeliverDueAsync();
        Assert.Equal(NoticeStates.Sent, rig.Stores.NoticeQueue.Get(id)!.State);
        Assert.Equal([id, id], server.Taken.Select(IdOf));
    }

    [Fact]
    public async Task A_receiver_that_hangs_holds_up_neither_the_store_nor_other_receivers_and_times_out()
    {
        using var mail = new SmtpReceiver(Behaviour.Hangs);
        using var hook = new WebhookReceiver();
        using var rig = new NoticeRig(mail.Port);
        var hanging = await rig.QueueAsync(await rig.SubscribeAsync(NoticeChannel.Email, "kim@mission.example"));
        var other = await rig.QueueAsync(await rig.SubscribeAsync(NoticeChannel.Webhook, hook.Address));
        var delivering = rig.Delivery().DeliverDueAsync();
        await mail.ConnectedAsync();
        var patience = Stopwatch.StartNew();
        while (rig.Stores.NoticeQueue.Get(other)!.State != NoticeStates.Sent && patience.Elapsed < TimeSpan.FromSeconds(60)) await Task.Delay(20);
        Assert.Equal(NoticeStates.Sent, rig.Stores.NoticeQueue.Get(other)!.State);
        // What ingest does goes on while the receiver hangs.
        await rig.Stores.Database.WriteAsync(t => EventStore.Add(t, rig.Now, "test", "x", "packets"));
        Assert.False(delivering.IsCompleted);
        rig.Clock.Advance(NoticeDelivery.TimeOut + TimeSpan.FromSeconds(1));
        await delivering;
        Assert.Contains("did not answer within 60 s", rig.Stores.NoticeQueue.Get(hanging)!.LastError, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Webhooks_arrive_signed_whatever_the_receiver_does_at_first()
    {
        using var server = new WebhookReceiver(503, 0, 429, 400, 302);
        using var rig = new NoticeRig();
        var subscription = await rig.SubscribeAsync(NoticeChannel.Webhook, server.Address);
        var id = await rig.QueueAsync(subscription);
        Assert.Equal(6, await rig.RunOutAsync());
        Assert.Equal(NoticeStates.Sent, rig.Stores.NoticeQueue.Get(id)!.State);
        Assert.Equal(6, server.Requests.Count);
        foreach (var request in server.Requests)
        {
            Assert.Equal(id, request.Headers[WebhookSignature.IdHeader]);
            var time = long.Parse(request.Headers[WebhookSignature.TimeHeader], CultureInfo.InvariantCulture);
            Assert.Equal(WebhookSignature.Of(rig.Key, time, request.Body), request.Headers[WebhookSignature.SignatureHeader]);
        }
        Assert.DoesNotContain(rig.Key, rig.Stores.Notices.Subscription(subscription)!.Key!, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_receiver_that_is_gone_for_good_is_not_asked_again()
    {
        using var server = new WebhookReceiver(410);
        using var rig = new NoticeRig();
        var id = await rig.QueueAsync(await rig.SubscribeAsync(NoticeChannel.Webhook, server.Address));
        Assert.Equal(1, await rig.RunOutAsync());
        Assert.Equal(NoticeStates.GivenUp, rig.Stores.NoticeQueue.Get(id)!.State);
    }

    [Fact]
    public async Task Private_networks_are_not_reached_unless_they_are_named()
    {
        using var server = new WebhookReceiver();
        using var rig = new NoticeRig(networks: null);
        var id = await rig.QueueAsync(await rig.SubscribeAsync(NoticeChannel.Webhook, server.Address));
        await rig.Delivery().DeliverDueAsync();
        Assert.Empty(server.Requests);
        Assert.Contains("private or local network", rig.Stores.NoticeQueue.Get(id)!.LastError, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("127.0.0.1", false)]
    [InlineData("10.2.3.4", false)]
    [InlineData("169.254.169.254", false)]
    [InlineData("192.168.1.1", false)]
    [InlineData("::1", false)]
    [InlineData("::ffff:10.0.0.1", false)]
    [InlineData("fe80::1", false)]
    [InlineData("fd00::1", false)]
    [InlineData("64:ff9b::a00:1", false)]
    [InlineData("2002:a00:1::", false)]
    [InlineData("93.184.216.34", true)]
    [InlineData("2606:2800:220:1::1", true)]
    public void Public_addresses_alone_are_reached(string address, bool isReached)
    {
        Assert.Equal(isReached, WebhookNetworks.Allows([], IPAddress.Parse(address), isPlain: false));
        Assert.False(WebhookNetworks.Allows([], IPAddress.Parse(address), isPlain: true));
        Assert.True(WebhookNetworks.Allows(WebhookNetworks.Read("10.0.0.0/8"), IPAddress.Parse("::ffff:10.0.0.1"), isPlain: true));
    }

    [Fact]
    public async Task What_is_due_in_quiet_hours_waits_for_their_end()
    {
        using var server = new SmtpReceiver();
        using var rig = new NoticeRig(server.Port);
        var id = await rig.QueueAsync(await rig.SubscribeAsync(NoticeChannel.Email, "kim@mission.example", new(11 * 60, 13 * 60)));
        await rig.Delivery().DeliverDueAsync();
        Assert.Empty(server.Taken);
        Assert.Equal(3600, rig.Stores.NoticeQueue.Get(id)!.NextAttempt - rig.Now, 3);
        rig.Clock.Advance(TimeSpan.FromHours(1));
        await rig.Delivery().DeliverDueAsync();
        Assert.Single(server.Taken);
    }

    private static string IdOf(string mail) => MessageId().Match(mail).Groups[1].Value;

    [GeneratedRegex("(?im)^Message-Id:\\s*<([0-9a-f]{32})@mission\\.example>")]
    private static partial Regex MessageId();

    [GeneratedRegex("(?im)^Bcc:")]
    private static partial Regex BccHeader();
}
