using System.Buffers.Binary;
using System.Security.Cryptography;
using Phasekeeper.Core.Limb;

namespace Phasekeeper.Pipeline.Stages;

/// <summary>
/// Fingerprints that tell whether a product must be computed again: of the rows of a frame, and of everything that its retrieval reads.
/// </summary>
public static class RowsDigest
{
    /// <summary>To be raised whenever the retrieval's numbers change for the same input: a start then retrieves everything again (<see cref="RetrievalVersionMarks"/>).</summary>
    public const string RetrievalVersion = "retrieval/2";

    /// <summary>Fingerprint of the rows in use: their numbers and packets.</summary>
    public static byte[] OfRows(AssembledFrame frame)
    {
        using var hash = IncrementalHash.CreateHash(HashAlgorithmName.SHA256);
        Span<byte> item = stackalloc byte[20];
        foreach (var row in frame.Rows)
        {
            BinaryPrimitives.WriteInt32LittleEndian(item, row.Row.Row);
            BinaryPrimitives.WriteUInt128LittleEndian(item[4..], row.Packet.Hash);
            hash.AppendData(item);
        }
        return hash.GetHashAndReset();
    }

    /// <summary>Fingerprint of what a retrieval reads: rows, detector temperature, predicted shift, motion of each row, coefficient set, version.</summary>
    public static byte[] OfRetrieval(byte[] rows, double detectorC, double predictedShift, ReadOnlySpan<double> motionMs, ReadOnlySpan<byte> coefficientHash)
    {
        using var hash = IncrementalHash.CreateHash(HashAlgorithmName.SHA256);
        Span<byte> number = stackalloc byte[8];
        hash.AppendData(System.Text.Encoding.ASCII.GetBytes(RetrievalVersion));
        hash.AppendData(rows);
        hash.AppendData(coefficientHash);
        foreach (var value in (ReadOnlySpan<double>)[detectorC, predictedShift]) Append(hash, number, value);
        foreach (var value in motionMs) Append(hash, number, value);
        return hash.GetHashAndReset();
    }

    /// <summary>w0 of each row, m/s; NaN where the line of sight has no tangent point.</summary>
    public static double[] Motion(LookSample[] looks)
    {
        var motion = new double[looks.Length];
        for (var r = 0; r < looks.Length; r++) motion[r] = looks[r].Outcome == LookOutcome.Tangent ? looks[r].MotionMs : double.NaN;
        return motion;
    }

    private static void Append(IncrementalHash hash, Span<byte> number, double value)
    {
        BinaryPrimitives.WriteDoubleLittleEndian(number, value);
        hash.AppendData(number);
    }
}
