namespace Phasekeeper.Core.Geometry;

/// <summary>
/// A 3 × 3 matrix, used for turning coordinates from one frame to another: <c>v_B = M·v_A</c>. Immutable. Default: all zero.
/// </summary>
public readonly record struct Mat3(Vec3 Row1, Vec3 Row2, Vec3 Row3)
{
    /// <summary>The matrix that changes nothing.</summary>
    public static Mat3 Identity { get; } = new(new(1, 0, 0), new(0, 1, 0), new(0, 0, 1));

    /// <summary>Coordinates after the frame is turned about its x axis by an angle (right-handed).</summary>
    public static Mat3 FrameTurnX(double angleRad)
    {
        var (s, c) = Math.SinCos(angleRad);
        return new(new(1, 0, 0), new(0, c, s), new(0, -s, c));
    }

    /// <summary>Coordinates after the frame is turned about its y axis by an angle (right-handed).</summary>
    public static Mat3 FrameTurnY(double angleRad)
    {
        var (s, c) = Math.SinCos(angleRad);
        return new(new(c, 0, -s), new(0, 1, 0), new(s, 0, c));
    }

    /// <summary>Coordinates after the frame is turned about its z axis by an angle (right-handed).</summary>
    public static Mat3 FrameTurnZ(double angleRad)
    {
        var (s, c) = Math.SinCos(angleRad);
        return new(new(c, s, 0), new(-s, c, 0), new(0, 0, 1));
    }

    /// <summary>The matrix whose columns are the given vectors.</summary>
    public static Mat3 FromColumns(Vec3 a, Vec3 b, Vec3 c) => new(new(a.X, b.X, c.X), new(a.Y, b.Y, c.Y), new(a.Z, b.Z, c.Z));

    /// <summary>Rows and columns exchanged; for a rotation this is the inverse.</summary>
    public Mat3 Transposed() => FromColumns(Row1, Row2, Row3);

    /// <summary>Matrix times vector.</summary>
    public static Vec3 operator *(Mat3 m, Vec3 v) => new(Vec3.Dot(m.Row1, v), Vec3.Dot(m.Row2, v), Vec3.Dot(m.Row3, v));

    /// <summary>Product of two matrices: the right one acts first.</summary>
    public static Mat3 operator *(Mat3 a, Mat3 b)
    {
        var t = b.Transposed();
        return new(t * a.Row1, t * a.Row2, t * a.Row3);
    }
}
