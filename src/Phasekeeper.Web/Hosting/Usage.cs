namespace Phasekeeper.Web.Hosting;

/// <summary>What the command line answers when asked how it is used.</summary>
public static class Usage
{
    /// <summary>The text.</summary>
    public const string Text =
        """
        Phasekeeper: watches, corrects and vouches for a spaceborne wind interferometer, in the browser.

          --Phasekeeper:Profile DIR     folder with profile.json; without it the demo mission is played
          --Phasekeeper:Data DIR        where everything is kept (default: data); DIR/inbox takes files
          --Phasekeeper:Demo:Speed N    mission seconds a second of the demo (default: 10)
          --Phasekeeper:Bootstrap:AdminPassword TEXT
                                        password of the first administrator (default: one is made and printed once)
          --Phasekeeper:ProposeOnDrift false
                                        the program proposes no coefficient set by itself when trackers drift
          --Phasekeeper:Reports:Daily true, --Phasekeeper:Reports:Weekly true
                                        reports are made by themselves (default: in the demo only)
          --Phasekeeper:Reports:Chromium FILE, --Phasekeeper:Reports:Paper Letter
                                        the browser that makes PDF (default: the system's), and its paper (default: A4)
          --Phasekeeper:Notices:Smtp:Host NAME, :Smtp:From ADDRESS, :Smtp:Port N, :Smtp:Security starttls|tls|none
                                        the mail server for notices (default: none; port 587, starttls; its certificate
                                        must come from an authority that this computer trusts)
          --Phasekeeper:Notices:Smtp:Authorities FILE
                                        PEM file of authorities trusted for it besides (default: none)
          --Phasekeeper:Notices:Smtp:User NAME
                                        its login; give the password by the environment alone, which others do not see:
                                        Phasekeeper__Notices__Smtp__Password
          --Phasekeeper:Notices:BaseAddress URL
                                        address of this installation, for links in notices (default: no links)
          --Phasekeeper:Notices:WebhookNetworks "NETWORK/BITS NETWORK/BITS"
                                        private networks that webhooks may reach, without TLS too (default: none;
                                        public addresses by https only)
          --Phasekeeper:Proxies "ADDRESS NETWORK/BITS"
                                        proxies whose X-Forwarded-For and -Proto are believed (default: none)
          --urls URL                    where to listen (default: http://127.0.0.1:5080)
          --help                        this text

          verify-record [--data DIR]    verifies the record of decisions and names every place where it was tampered with

        Any setting may also come from the environment, as Phasekeeper__Data.
        It advises and commands nothing: the mission's flight rules and its operators decide.
        """;

    /// <summary>Whether the arguments ask for it.</summary>
    public static bool IsAsked(IEnumerable<string> args) => args.Any(a => a is "--help" or "-h" or "-?");
}
