using Phasekeeper.Web.Hosting;

var builder = PhasekeeperHost.CreateBuilder(args);
builder.AddPhasekeeperWeb();

var app = builder.Build();
app.UsePhasekeeperWeb();
app.Run();

/// <summary>Entry point; public so that tests can host the application.</summary>
public partial class Program;
