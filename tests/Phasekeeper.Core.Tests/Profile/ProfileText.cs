namespace Phasekeeper.Core.Tests.Profile;

/// <summary>A small valid profile and coefficient set, as text, for tests that break one thing at a time.</summary>
internal static class ProfileText
{
    public const string Profile = """
        {
          "schema": "phasekeeper-profile/1",
          "spacecraft": { "name": "Kittiwake", "catalogNumber": 99201, "revolutionOffset": 0 },
          "missionSpan": ["2030-01-01T00:00:00Z", "2040-01-01T00:00:00Z"],
          "orbit": "orbit.oem",
          "attitude": "nominal",
          "packets": {
            "definition": "packets.xtce.xml",
            "checksum": "crc16",
            "time": { "code": "cds", "day": "T_DAY", "millisecond": "T_MS", "microsecond": "T_US", "epoch": "1958-01-01T00:00:00Z", "scale": "utc" }
          },
          "fringe": {
            "container": "FringeRow", "exposure": "FR_EXPOSURE", "kind": "FR_KIND", "view": "FR_VIEW", "line": "FR_LINE",
            "row": "FR_ROW", "integration": "FR_INTEGRATION_MS", "samples": "FR_SAMPLES"
          },
          "instrument": {
            "name": "TERN", "rows": 2, "samples": 8, "electronsPerCount": 1.0, "readNoiseElectrons": 8.0, "saturationCounts": 60000,
            "rowDepressionDeg": [21.6, 21.4],
            "views": [ { "id": "F", "azimuthDeg": 45.0 } ],
            "lines": [ { "id": "green", "wavelengthVacuumNm": 557.8887, "cycles": 3.5, "opdMm": 50.0, "opdStepUm": 46.875,
                         "lampWavelengthVacuumNm": 557.18, "lampCycles": 3.0 } ]
          },
          "roles": { "interferometerTemperature": "IFO_T1", "benchTemperature": "OB_T1", "detectorTemperature": "DET_T1" },
          "coefficients": "coefficients.json"   // the first set
        }
        """;

    public const string Coefficients = """
        {
          "schema": "phasekeeper-coefficients/1",
          "name": "ground 1", "validFrom": "2031-03-01T00:00:00Z",
          "dark": { "biasCounts": 120.0, "rateElectronsPerS": 2.0, "referenceC": -20.0, "doublingK": 6.5 },
          "optics": [
            { "view": "F", "line": "green", "flat": "flat.csv",
              "distortionRad": [[0.0, 0.1], [0.2]], "zeroWindRad": [0.01, 0.02],
              "visibility": 0.65, "envelope": [0.02, -0.08],
              "thermal": { "radPerK": 0.71, "lagS": 420.0, "referenceC": 20.0 },
              "lampRatio": 0.9987, "lampPhaseRad": 0.3, "lampElectrons": 4000.0 }
          ],
          "imageShift": [ { "view": "F", "samplesPerK": 0.05, "referenceC": 15.0, "offsetSamples": 0.0 } ]
        }
        """;
}
