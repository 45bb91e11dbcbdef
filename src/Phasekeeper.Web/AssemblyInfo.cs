using System.Runtime.CompilerServices;

[assembly: InternalsVisibleTo("Phasekeeper.Web.Tests")]
