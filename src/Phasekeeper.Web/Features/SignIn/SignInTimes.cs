namespace Phasekeeper.Web.Features.SignIn;

/// <summary>How soon a change of password, roles or lock reaches sessions that are open.</summary>
/// <param name="Revalidation">Between two looks at the security stamp, in circuits and by requests.</param>
public sealed record SignInTimes(TimeSpan Revalidation)
{
    /// <summary>Chosen: well within a minute.</summary>
    public static readonly SignInTimes Default = new(TimeSpan.FromSeconds(30));
}
