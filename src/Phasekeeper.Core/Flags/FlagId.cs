using System.Globalization;
using System.Security.Cryptography;
using System.Text;

namespace Phasekeeper.Core.Flags;

/// <summary>
/// A flag's id follows from what it is about and the orbit it starts on, so that the same data end in the same ids whatever
/// the order of their arrival. Letters, digits, '-' and '.' only: safe in an address.
/// </summary>
public static class FlagId
{
    /// <summary>"rule.hash.oN": hash = first 10 hex digits of SHA-256 over subject, view and line; N = first orbit.</summary>
    public static string Of(FlagThing thing, int firstOrbit)
    {
        var text = $"{thing.Rule}\n{thing.Subject}\n{thing.View ?? "\t"}\n{thing.Line ?? "\t"}";
        var hash = Convert.ToHexStringLower(SHA256.HashData(Encoding.UTF8.GetBytes(text)))[..10];
        return string.Create(CultureInfo.InvariantCulture, $"{thing.Rule}.{hash}.o{firstOrbit}");
    }
}
