namespace Phasekeeper.Web.Features.SignIn;

/// <summary>Where a sign-in leads back to: an address of this program, never one elsewhere.</summary>
public static class ReturnAddress
{
    /// <summary>The address asked for where it is one of ours, else Today.</summary>
    public static string Of(HttpRequest request)
    {
        ArgumentNullException.ThrowIfNull(request);
        var asked = request.Query["returnUrl"].ToString();
        return IsLocal(asked) ? asked : "/";
    }

    /// <summary>Whether an address stays here: one slash at its start, and neither a second one nor a backslash, which browsers take for one; no control characters, which they drop.</summary>
    public static bool IsLocal(string address)
    {
        ArgumentNullException.ThrowIfNull(address);
        return address.StartsWith('/') && !address.StartsWith("//", StringComparison.Ordinal) && !address.StartsWith("/\\", StringComparison.Ordinal) && !address.Any(char.IsControl);
    }
}
