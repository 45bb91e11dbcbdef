namespace Phasekeeper.Core.Fringes;

/// <summary>
/// What one pass over a row adds up at the current parameters: the normal matrix N = Σ w·b_j·b_k, the gradient g = Σ w·b_j·r, χ² and
/// the largest squared residual in units of its variance. Order of parameters: A, C = AV·cosφ, S = AV·sinφ, β (phase slope, rad a sample).
/// </summary>
internal struct FitSums
{
    public double N00, N01, N02, N03, N11, N12, N13, N22, N23, N33;
    public double G0, G1, G2, G3;
    public double ChiSquare, MaxZ2;
}

/// <summary>Parameters of a row: A, C, S in electrons, β in rad a sample (beyond the slope already turned into the pattern).</summary>
internal struct FitParameters
{
    public double A, C, S, Beta;
}

/// <summary>
/// Lower triangle of the Cholesky factor of a 4×4 normal matrix, with the inverses of its diagonal; solves and gives the covariance without allocation.
/// </summary>
internal struct Cholesky4
{
    private double i0, l10, i1, l20, l21, i2, l30, l31, l32, i3;

    /// <summary>Factors the matrix of <paramref name="m"/>; false when it is not positive definite to working precision.</summary>
    public bool TryFactor(in FitSums m)
    {
        const double relative = 1e-6; // below this share of its diagonal, a pivot is the rounding of sums in single precision
        if (!(m.N00 > 0)) return false;
        i0 = 1 / Math.Sqrt(m.N00);
        l10 = m.N01 * i0;
        l20 = m.N02 * i0;
        l30 = m.N03 * i0;
        var d = m.N11 - l10 * l10;
        if (!(d > relative * m.N11)) return false;
        i1 = 1 / Math.Sqrt(d);
        l21 = (m.N12 - l20 * l10) * i1;
        l31 = (m.N13 - l30 * l10) * i1;
        d = m.N22 - l20 * l20 - l21 * l21;
        if (!(d > relative * m.N22)) return false;
        i2 = 1 / Math.Sqrt(d);
        l32 = (m.N23 - l30 * l20 - l31 * l21) * i2;
        d = m.N33 - l30 * l30 - l31 * l31 - l32 * l32;
        if (!(d > relative * m.N33)) return false;
        i3 = 1 / Math.Sqrt(d);
        return true;
    }

    /// <summary>Solves N·x = b.</summary>
    public readonly void Solve(double b0, double b1, double b2, double b3, out double x0, out double x1, out double x2, out double x3)
    {
        Forward(b0, b1, b2, b3, out var y0, out var y1, out var y2, out var y3);
        x3 = y3 * i3;
        x2 = (y2 - l32 * x3) * i2;
        x1 = (y1 - l21 * x2 - l31 * x3) * i1;
        x0 = (y0 - l10 * x1 - l20 * x2 - l30 * x3) * i0;
    }

    /// <summary>Variance of the last parameter.</summary>
    public readonly double LastVariance => i3 * i3;

    /// <summary>aᵀ·N⁻¹·a: the variance of the linear combination a of the parameters.</summary>
    public readonly double Quadratic(double a0, double a1, double a2, double a3)
    {
        Forward(a0, a1, a2, a3, out var y0, out var y1, out var y2, out var y3);
        return y0 * y0 + y1 * y1 + y2 * y2 + y3 * y3;
    }

    private readonly void Forward(double b0, double b1, double b2, double b3, out double y0, out double y1, out double y2, out double y3)
    {
        y0 = b0 * i0;
        y1 = (b1 - l10 * y0) * i1;
        y2 = (b2 - l20 * y0 - l21 * y1) * i2;
        y3 = (b3 - l30 * y0 - l31 * y1 - l32 * y2) * i3;
    }
}
