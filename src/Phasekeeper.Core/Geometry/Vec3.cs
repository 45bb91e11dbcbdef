namespace Phasekeeper.Core.Geometry;

/// <summary>A vector of three doubles. Unit and frame are told by the name of the variable that holds it. Default: zero.</summary>
public readonly record struct Vec3(double X, double Y, double Z)
{
    /// <summary>Sum.</summary>
    public static Vec3 operator +(Vec3 a, Vec3 b) => new(a.X + b.X, a.Y + b.Y, a.Z + b.Z);
    /// <summary>Difference.</summary>
    public static Vec3 operator -(Vec3 a, Vec3 b) => new(a.X - b.X, a.Y - b.Y, a.Z - b.Z);
    /// <summary>Reversed.</summary>
    public static Vec3 operator -(Vec3 a) => new(-a.X, -a.Y, -a.Z);
    /// <summary>Scaled.</summary>
    public static Vec3 operator *(double s, Vec3 a) => new(s * a.X, s * a.Y, s * a.Z);
    /// <summary>Scaled.</summary>
    public static Vec3 operator *(Vec3 a, double s) => s * a;
    /// <summary>Divided.</summary>
    public static Vec3 operator /(Vec3 a, double s) => new(a.X / s, a.Y / s, a.Z / s);
    /// <summary>Scalar product.</summary>
    public static double Dot(Vec3 a, Vec3 b) => a.X * b.X + a.Y * b.Y + a.Z * b.Z;
    /// <summary>Vector product, right-handed.</summary>
    public static Vec3 Cross(Vec3 a, Vec3 b) => new(a.Y * b.Z - a.Z * b.Y, a.Z * b.X - a.X * b.Z, a.X * b.Y - a.Y * b.X);
    /// <summary>Euclidean length.</summary>
    public double Length => Math.Sqrt(Dot(this, this));
    /// <summary>Direction of unit length.</summary>
    public Vec3 Normalized() => this / Length;
}
