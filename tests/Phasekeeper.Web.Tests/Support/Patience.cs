using System.Runtime.CompilerServices;
using Bunit;

namespace Phasekeeper.Web.Tests.Support;

/// <summary>How long a page's test waits for what it expects: a busy machine is no fault. Tests end as soon as it is there.</summary>
internal static class Patience
{
    [ModuleInitializer]
    internal static void Set() => BunitContext.DefaultWaitTimeout = TimeSpan.FromSeconds(60);
}
