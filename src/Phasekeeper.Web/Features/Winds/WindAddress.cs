using Phasekeeper.Core.Instrument;
using Phasekeeper.Web.Shared.Addresses;

namespace Phasekeeper.Web.Features.Winds;

/// <summary>What all pages of winds have in their addresses.</summary>
internal static class WindAddress
{
    private const double HighestKm = 1000;

    /// <summary>A line of the instrument; null when absent or wrong, which shows the first.</summary>
    public static string? Line(this AddressReader address, string? text, InstrumentModel instrument) =>
        address.Word("line", text, instrument.Lines.Select(l => l.Id), $"The line {instrument.Lines[0].Id} is shown");

    /// <summary>A height, km; the one that is looked at first when absent or wrong.</summary>
    public static double Altitude(this AddressReader address, string? text) =>
        address.Number("altitude", text, 0, HighestKm, "km", $"Heights near {WindQueries.DefaultAltitudeKm:0} km are shown") ?? WindQueries.DefaultAltitudeKm;

    /// <summary>A direction of the wind; eastward when absent or wrong.</summary>
    public static string Component(this AddressReader address, string? text) => address.Word("component", text, ["eastward", "northward"], "The eastward wind is shown") ?? "eastward";
}
