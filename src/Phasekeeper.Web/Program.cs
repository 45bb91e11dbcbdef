using Phasekeeper.Web.Features.SignIn;
using Phasekeeper.Web.Hosting;

if (Usage.IsAsked(args))
{
    Console.WriteLine(Usage.Text);
    return 0;
}
if (RecordCommand.IsAsked(args)) return RecordCommand.Run(args, Console.Out);
var builder = PhasekeeperHost.CreateBuilder(args);
builder.AddPhasekeeperWeb();
builder.AddPhasekeeperPipeline();

var app = builder.Build();
if (!app.TryOpenMission() || !await app.TryMakeFirstAdministratorAsync()) return 1;
app.UsePhasekeeperWeb();
app.Run();
return 0;

/// <summary>Entry point; public so that tests can host the application.</summary>
public partial class Program;
