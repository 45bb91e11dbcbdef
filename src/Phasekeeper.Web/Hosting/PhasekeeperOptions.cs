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

    /// <summary>The demo mission.</summary>
    public DemoOptions Demo { get; set; } = new();

    /// <summary>First access for scripts.</summary>
    public BootstrapOptions Bootstrap { get; set; } = new();
}

/// <summary>The settings under <c>Phasekeeper:Bootstrap:</c>.</summary>
public sealed class BootstrapOptions
{
    /// <summary>Bearer token with administrator rights, honoured from loopback only; empty = none.</summary>
    public string? Token { get; set; }
}

/// <summary>The settings under <c>Phasekeeper:Demo:</c>.</summary>
public sealed class DemoOptions
{
    /// <summary>Mission seconds per second of the wall clock, 0…10,000; default 10.</summary>
    public double Speed { get; set; } = 10;
}
