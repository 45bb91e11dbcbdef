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

/// <summary>Lower triangle of the Cholesky factor of a 4×4 normal matrix; solves and gives the covariance without allocation.</summary>
internal struct Cholesky4
{
    private double l00, l10, l11, l20, l21, l22, l30, l31, l32, l33;

    /// <summary>Factors the matrix of <paramref name="m"/>; false when it is not positive definite to working precision.</summary>
    public bool TryFactor(in FitSums m)
    {
        const double relative = 1e-12; // below this share of its diagonal, a pivot is rounding
        if (!(m.N00 > 0)) return false;
        l00 = Math.Sqrt(m.N00);
        l10 = m.N01 / l00;
        l20 = m.N02 / l00;
        l30 = m.N03 / l00;
        var d = m.N11 - l10 * l10;
        if (!(d > relative * m.N11)) return false;
        l11 = Math.Sqrt(d);
        l21 = (m.N12 - l20 * l10) / l11;
        l31 = (m.N13 - l30 * l10) / l11;
        d = m.N22 - l20 * l20 - l21 * l21;
        if (!(d > relative * m.N22)) return false;
        l22 = Math.Sqrt(d);
        l32 = (m.N23 - l30 * l20 - l31 * l21) / l22;
        d = m.N33 - l30 * l30 - l31 * l31 - l32 * l32;
        if (!(d > relative * m.N33)) return false;
        l33 = Math.Sqrt(d);
        return true;
    }

    /// <summary>Solves N·x = b.</summary>
    public readonly void Solve(double b0, double b1, double b2, double b3, out double x0, out double x1, out double x2, out double x3)
    {
        var y0 = b0 / l00;
        var y1 = (b1 - l10 * y0) / l11;
        var y2 = (b2 - l20 * y0 - l21 * y1) / l22;
        var y3 = (b3 - l30 * y0 - l31 * y1 - l32 * y2) / l33;
        x3 = y3 / l33;
        x2 = (y2 - l32 * x3) / l22;
        x1 = (y1 - l21 * x2 - l31 * x3) / l11;
        x0 = (y0 - l10 * x1 - l20 * x2 - l30 * x3) / l00;
    }

    /// <summary>Variance of the last parameter.</summary>
    public readonly double LastVariance => 1 / (l33 * l33);

    /// <summary>aᵀ·N⁻¹·a: the variance of the linear combination a of the parameters.</summary>
    public readonly double Quadratic(double a0, double a1, double a2, double a3)
    {
        var y0 = a0 / l00;
        var y1 = (a1 - l10 * y0) / l11;
        var y2 = (a2 - l20 * y0 - l21 * y1) / l22;
        var y3 = (a3 - l30 * y0 - l31 * y1 - l32 * y2) / l33;
        return y0 * y0 + y1 * y1 + y2 * y2 + y3 * y3;
    }
}
