using System.Net;
using System.Security.Cryptography;
using System.Security.Cryptography.X509Certificates;
using System.Text;
using Phasekeeper.Core.Notices;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.Notices;

namespace Phasekeeper.Web.Tests.Features.Notices;

/// <summary>E-mail by TLS and with a login: no password goes to a server that is not known, or unencrypted, and none is repeated anywhere.</summary>
public sealed class MailSecurityTests : IDisposable
{
    private const string User = "phasekeeper", Password = "correct horse 47";
    private static readonly string SentPassword = Convert.ToBase64String(Encoding.UTF8.GetBytes($"\0{User}\0{Password}"));
    private readonly string authorities = Path.GetTempFileName();

    private static X509Certificate2 SelfSigned(IPAddress address)
    {
        using var key = RSA.Create(2048);
        var request = new CertificateRequest("CN=local.example", key, HashAlgorithmName.SHA256, RSASignaturePadding.Pkcs1);
        var names = new SubjectAlternativeNameBuilder();
        names.AddIpAddress(address);
        request.CertificateExtensions.Add(names.Build());
        using var made = request.CreateSelfSigned(DateTimeOffset.UtcNow.AddDays(-1), DateTimeOffset.UtcNow.AddDays(30));
        return X509CertificateLoader.LoadPkcs12(made.Export(X509ContentType.Pkcs12), null);
    }

    private static NoticeRig Rig(SmtpReceiver server, string security, string? trusted = null, string password = Password) => new(server.Port, smtp: s =>
    {
        (s.Security, s.User, s.Password, s.Authorities) = (security, User, password, trusted);
    });

    private static async Task<NoticeMessageRow> TryOnceAsync(NoticeRig rig)
    {
        var id = await rig.QueueAsync(await rig.SubscribeAsync(NoticeChannel.Email, "kim@mission.example"));
        await rig.Delivery().DeliverDueAsync();
        return rig.Stores.NoticeQueue.Get(id)!;
    }

    private string Trusting(X509Certificate2 certificate)
    {
        File.WriteAllText(authorities, certificate.ExportCertificatePem());
        return authorities;
    }

    [Theory]
    [InlineData("starttls")]
    [InlineData("tls")]
    public async Task A_certificate_of_nobody_that_is_trusted_is_refused_before_any_login(string security)
    {
        using var certificate = SelfSigned(IPAddress.Loopback);
        using var server = new SmtpReceiver { Certificate = certificate, IsTlsFromStart = security == "tls", Password = Password };
        using var rig = Rig(server, security);
        var message = await TryOnceAsync(rig);
        Assert.Equal(NoticeStates.Waiting, message.State);
        Assert.Contains("the certificate that it shows (CN=local.example) is not trusted or names another host; expected a certificate for 127.0.0.1", message.LastError, StringComparison.Ordinal);
        Assert.Empty(server.Logins);
        Assert.Empty(server.Taken);
    }

    [Theory]
    [InlineData("starttls")]
    [InlineData("tls")]
    public async Task A_server_of_an_authority_that_is_named_takes_login_and_message_by_tls_alone(string security)
    {
        using var certificate = SelfSigned(IPAddress.Loopback);
        using var server = new SmtpReceiver { Certificate = certificate, IsTlsFromStart = security == "tls", Password = Password };
        using var rig = Rig(server, security, Trusting(certificate));
        Assert.Equal(NoticeStates.Sent, (await TryOnceAsync(rig)).State);
        Assert.Single(server.Taken);
        Assert.Equal([SentPassword], server.Logins);
        Assert.Equal(security == "tls" ? [] : ["EHLO", "STARTTLS"], server.Plain);
    }

    [Fact]
    public async Task Another_host_with_a_certificate_of_that_authority_is_refused()
    {
        using var certificate = SelfSigned(IPAddress.Parse("192.0.2.1"));
        using var server = new SmtpReceiver { Certificate = certificate, Password = Password };
        using var rig = Rig(server, "starttls", Trusting(certificate));
        Assert.Contains("names another host", (await TryOnceAsync(rig)).LastError, StringComparison.Ordinal);
        Assert.Empty(server.Logins);
    }

    [Fact]
    public async Task A_server_that_offers_no_tls_gets_no_password()
    {
        using var server = new SmtpReceiver { Password = Password };
        using var rig = Rig(server, "starttls");
        Assert.Contains("STARTTLS", (await TryOnceAsync(rig)).LastError, StringComparison.Ordinal);
        Assert.Empty(server.Logins);
        using var open = Rig(server, "none");
        Assert.Contains("the password would go unencrypted", (await TryOnceAsync(open)).LastError, StringComparison.Ordinal);
        Assert.Empty(server.Logins);
        Assert.Empty(server.Taken);
    }

    [Fact]
    public async Task A_login_that_is_refused_says_so_without_the_password_even_where_the_server_repeats_it()
    {
        const string wrong = "wrong horse 48";
        using var certificate = SelfSigned(IPAddress.Loopback);
        using var server = new SmtpReceiver { Certificate = certificate, Password = Password };
        using var rig = Rig(server, "starttls", Trusting(certificate), wrong);
        var message = await TryOnceAsync(rig);
        // Whoever sets the password right finds the message delivered: it waits.
        Assert.Equal(NoticeStates.Waiting, message.State);
        Assert.Contains($"refused the login as {User}", message.LastError, StringComparison.Ordinal);
        Assert.Contains("(password)", message.LastError, StringComparison.Ordinal);
        Assert.NotEmpty(rig.Logged);
        var sent = Assert.Single(server.Logins);
        Assert.All([message.LastError!, .. rig.Logged], text =>
        {
            Assert.DoesNotContain(wrong, text, StringComparison.Ordinal);
            Assert.DoesNotContain(sent, text, StringComparison.Ordinal);
        });
        Assert.Empty(server.Taken);
    }

    [Fact]
    public async Task A_file_of_authorities_that_is_none_is_told()
    {
        using var server = new SmtpReceiver();
        await File.WriteAllTextAsync(authorities, "nothing");
        using var rig = Rig(server, "starttls", authorities);
        Assert.Contains("Found no certificate", (await TryOnceAsync(rig)).LastError, StringComparison.Ordinal);
        using var gone = Rig(server, "starttls", authorities + ".gone");
        Assert.Contains("Phasekeeper:Notices:Smtp:Authorities", (await TryOnceAsync(gone)).LastError, StringComparison.Ordinal);
    }

    public void Dispose() => File.Delete(authorities);
}
