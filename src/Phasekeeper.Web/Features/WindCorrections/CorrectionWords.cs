using Phasekeeper.Pipeline.Winds;

namespace Phasekeeper.Web.Features.WindCorrections;

/// <summary>A correction as the page names it.</summary>
/// <param name="Correction">Which.</param>
/// <param name="Word">Word in the address.</param>
/// <param name="Title">Words on the button.</param>
/// <param name="What">What leaving it out means, one sentence.</param>
public sealed record CorrectionWords(WindCorrection Correction, string Word, string Title, string What)
{
    /// <summary>All corrections, in the order in which they are made.</summary>
    public static readonly IReadOnlyList<CorrectionWords> All =
    [
        new(WindCorrection.LampAndThermal, "thermal", "lamp and thermal", "The optics are taken to be as on the ground, at the reference temperature: their drift with the orbit's temperature and with age is read as wind."),
        new(WindCorrection.ImageShift, "shift", "image shift", "The shift of the image along the row stays in scene and lamp; most of it cancels between the two, the rest is read as wind."),
        new(WindCorrection.SatelliteVelocity, "velocity", "satellite's velocity", "The satellite's own speed along the line of sight stays in. Winds that large are beyond what the inversion expects, which pulls them a little towards zero."),
        new(WindCorrection.EarthRotation, "rotation", "Earth's rotation", "Winds are taken against the stars instead of against the ground that turns below."),
        new(WindCorrection.Inversion, "inversion", "inversion", "The mean along each ray is taken for the wind at its lowest point: layers above shine into every row."),
        new(WindCorrection.ZeroWind, "zero", "zero wind", "The phases that each row has for air at rest stay in."),
    ];

    /// <summary>The correction of a word; the first for a word that is not known.</summary>
    public static CorrectionWords Of(string? word) => All.FirstOrDefault(c => c.Word == word) ?? All[0];
}
