using Phasekeeper.Web.Features.Reports;

namespace Phasekeeper.Web.Hosting;

/// <summary>The settings under <c>Phasekeeper:</c> (contract.md section 1), from JSON, environment or command line.</summary>
public sealed class PhasekeeperOptions
{
    /// <summary>Name of the configuration section.</summary>
    public const string Section = "Phasekeeper";

    /// <summary>Folder of the mission profile; empty = the demo mission.</summary>
    public string? Profile { get; set; }

    /// <summary>Folder of everything that the program writes; created if absent. Default: <c>data</c> in the working directory.</summary>
    public string Data { get; set; } = "data";

    /// <summary>Whether the program proposes a coefficient set when trackers drift away from the one in force; people decide in any case. Default: true.</summary>
    public bool ProposeOnDrift { get; set; } = true;

    /// <summary>Addresses and networks of proxies whose X-Forwarded headers count, separated by spaces; empty = none. Read by <see cref="TrustedProxies"/>.</summary>
    public string? Proxies { get; set; }

    /// <summary>The demo mission.</summary>
    public DemoOptions Demo { get; set; } = new();

    /// <summary>Reports of days and weeks.</summary>
    public ReportOptions Reports { get; set; } = new();

    /// <summary>First access.</summary>
    public BootstrapOptions Bootstrap { get; set; } = new();

    /// <summary>E-mail and webhooks.</summary>
    public Features.Notices.NoticeOptions Notices { get; set; } = new();

    /// <summary>Sign-in by an identity provider; off unless an authority is named.</summary>
    public OpenIdConnectSettings OpenIdConnect { get; set; } = new();
}

/// <summary>The settings under <c>Phasekeeper:Bootstrap:</c>.</summary>
public sealed class BootstrapOptions
{
    /// <summary>Bearer token with administrator rights, honoured from loopback only; empty = none.</summary>
    public string? Token { get; set; }

    /// <summary>Password of the first administrator, used at a start at which there is nobody; empty = a random one, printed once.</summary>
    public string? AdminPassword { get; set; }
}

/// <summary>The settings under <c>Phasekeeper:Demo:</c>.</summary>
public sealed class DemoOptions
{
    /// <summary>Mission seconds per second of the wall clock, 0…10,000; default 10.</summary>
    public double Speed { get; set; } = 10;
}

/// <summary>The settings under <c>Phasekeeper:OpenIdConnect:</c>.</summary>
public sealed class OpenIdConnectSettings
{
    /// <summary>Address of the provider, https; empty = off.</summary>
    public string? Authority { get; set; }

    /// <summary>Our id there.</summary>
    public string? ClientId { get; set; }

    /// <summary>Our secret there; best from the environment.</summary>
    public string? ClientSecret { get; set; }

    /// <summary>Word on the button.</summary>
    public string Title { get; set; } = "Sign in with the organisation's account";

    /// <summary>Claim that becomes the person's name.</summary>
    public string NameClaim { get; set; } = "preferred_username";

    /// <summary>Claim with the groups or roles that the provider gives.</summary>
    public string RoleClaim { get; set; } = "roles";

    /// <summary>Scopes asked for besides openid and profile, separated by spaces.</summary>
    public string Scopes { get; set; } = "";

    /// <summary>Which of our roles a value of that claim gives, for example <c>Roles:wind-operators = operator</c>. Whoever has none of them is refused.</summary>
    public Dictionary<string, string> Roles { get; } = [];

    /// <summary>Whether it is on.</summary>
    public bool IsOn => !string.IsNullOrEmpty(Authority);
}
