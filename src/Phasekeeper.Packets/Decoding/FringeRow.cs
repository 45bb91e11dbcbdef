using Phasekeeper.Core.Fringes;

namespace Phasekeeper.Packets.Decoding;

/// <summary>One detector row of one exposure, view and line. Its counts are in <see cref="PacketValues.Samples"/>.</summary>
/// <param name="Exposure">Exposure number.</param>
/// <param name="Kind">What the exposure looked at.</param>
/// <param name="View">View id, as in the profile where that is given.</param>
/// <param name="Line">Line id, as in the profile where that is given.</param>
/// <param name="Row">Detector row, from 0.</param>
/// <param name="IntegrationS">Integration time, s.</param>
public readonly record struct FringeRow(long Exposure, ExposureKind Kind, string View, string Line, int Row, double IntegrationS);
