namespace Phasekeeper.Core.Geometry;

/// <summary>
/// A rotation as a quaternion with scalar part <paramref name="W"/> = cos(angle/2) and vector part axis·sin(angle/2), in double
/// precision. <see cref="Rotate"/> turns a vector: <c>v' = q·v·q*</c>. Read the other way, if q turns the axes of frame A
/// into those of frame B, then <see cref="Rotate"/> takes coordinates in B to coordinates in A.
/// </summary>
public readonly record struct Quaternion(double W, double X, double Y, double Z)
{
    /// <summary>No rotation.</summary>
    public static Quaternion Identity { get; } = new(1, 0, 0, 0);

    /// <summary>Rotation by an angle (right-handed) about a unit axis.</summary>
    public static Quaternion FromAxisAngle(Vec3 axis, double angleRad)
    {
        var (s, c) = Math.SinCos(angleRad / 2);
        return new(c, axis.X * s, axis.Y * s, axis.Z * s);
    }

    /// <summary>Length; 1 for a rotation.</summary>
    public double Norm => Math.Sqrt(Dot(this, this));

    /// <summary>Scalar product of the four components.</summary>
    public static double Dot(Quaternion a, Quaternion b) => a.W * b.W + a.X * b.X + a.Y * b.Y + a.Z * b.Z;

    /// <summary>Scaled to length 1.</summary>
    public Quaternion Normalized()
    {
        var n = Norm;
        return new(W / n, X / n, Y / n, Z / n);
    }

    /// <summary>The opposite rotation (of a quaternion of length 1).</summary>
    public Quaternion Conjugate() => new(W, -X, -Y, -Z);

    /// <summary>Hamilton product: the right rotation acts first.</summary>
    public static Quaternion operator *(Quaternion a, Quaternion b) => new(
        a.W * b.W - a.X * b.X - a.Y * b.Y - a.Z * b.Z,
        a.W * b.X + a.X * b.W + a.Y * b.Z - a.Z * b.Y,
        a.W * b.Y - a.X * b.Z + a.Y * b.W + a.Z * b.X,
        a.W * b.Z + a.X * b.Y - a.Y * b.X + a.Z * b.W);

    /// <summary>The vector turned by this rotation.</summary>
    public Vec3 Rotate(Vec3 v)
    {
        var u = new Vec3(X, Y, Z);
        var t = 2 * Vec3.Cross(u, v);
        return v + W * t + Vec3.Cross(u, t);
    }

    /// <summary>
    /// Turns at a constant rate along the shorter arc from <paramref name="a"/> (fraction 0) to <paramref name="b"/> (fraction 1).
    /// Both have length 1. Shoemake 1985, doi 10.1145/325334.325242.
    /// </summary>
    public static Quaternion Slerp(Quaternion a, Quaternion b, double fraction)
    {
        var cos = Dot(a, b);
        if (cos < 0) { b = new(-b.W, -b.X, -b.Y, -b.Z); cos = -cos; }
        double wa = 1 - fraction, wb = fraction;
        // Below 1e-4 rad the straight chord differs from the arc by less than 1e-13, and sin would lose digits.
        if (cos < 1 - 1e-9)
        {
            var angle = Math.Acos(cos);
            var sin = Math.Sin(angle);
            wa = Math.Sin(wa * angle) / sin;
            wb = Math.Sin(wb * angle) / sin;
        }
        return new Quaternion(wa * a.W + wb * b.W, wa * a.X + wb * b.X, wa * a.Y + wb * b.Y, wa * a.Z + wb * b.Z).Normalized();
    }
}
