namespace Phasekeeper.Demo.Telemetry;

/// <summary>Curve from raw number to engineering value, as XTCE tells it, and back, as the satellite's converter works.</summary>
public abstract record Calibration
{
    /// <summary>Engineering value of a raw number.</summary>
    public abstract double ValueOf(double raw);
    /// <summary>Raw number of an engineering value, not rounded.</summary>
    public abstract double RawOf(double value);
}

/// <summary>value = c0 + c1·raw.</summary>
public sealed record LinearCalibration(double Offset, double Slope) : Calibration
{
    /// <inheritdoc/>
    public override double ValueOf(double raw) => Offset + Slope * raw;
    /// <inheritdoc/>
    public override double RawOf(double value) => (value - Offset) / Slope;
}

/// <summary>value = c0 + c1·raw + c2·raw², with c1 and c2 positive, for raw ≥ 0.</summary>
public sealed record QuadraticCalibration(double C0, double C1, double C2) : Calibration
{
    /// <inheritdoc/>
    public override double ValueOf(double raw) => C0 + raw * (C1 + raw * C2);
    /// <inheritdoc/>
    public override double RawOf(double value) => (-C1 + Math.Sqrt(Math.Max(0, C1 * C1 - 4 * C2 * (C0 - value)))) / (2 * C2);
}

/// <summary>Straight lines between points of rising raw numbers and rising values (a thermistor's table).</summary>
public sealed record SplineCalibration(params (double Raw, double Value)[] Points) : Calibration
{
    /// <inheritdoc/>
    public override double ValueOf(double raw)
    {
        var i = 1;
        while (i < Points.Length - 1 && raw > Points[i].Raw) i++;
        var (a, b) = (Points[i - 1], Points[i]);
        return a.Value + (raw - a.Raw) / (b.Raw - a.Raw) * (b.Value - a.Value);
    }

    /// <inheritdoc/>
    public override double RawOf(double value)
    {
        var i = 1;
        while (i < Points.Length - 1 && value > Points[i].Value) i++;
        var (a, b) = (Points[i - 1], Points[i]);
        // The converter cannot leave its table.
        return Math.Clamp(a.Raw + (value - a.Value) / (b.Value - a.Value) * (b.Raw - a.Raw), Points[0].Raw, Points[^1].Raw);
    }
}
