using Phasekeeper.Demo.Cli;

return DemoCommand.Run(args, Console.Out, Console.Error);
