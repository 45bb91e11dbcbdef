var app = WebApplication.CreateBuilder(args).Build();
app.Run();

/// <summary>Entry point; public so that tests can host the application.</summary>
public partial class Program;
