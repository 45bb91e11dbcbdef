namespace Phasekeeper.Core.Winds;

/// <summary>How far a wind can be trusted.</summary>
public enum WindQuality
{
    /// <summary>Use it with its σ.</summary>
    Good,
    /// <summary>Use it with care: a reason says why.</summary>
    Doubtful,
    /// <summary>Do not use it: a reason says why.</summary>
    Bad,
}

/// <summary>One reason why a wind is not good: a word for machines and a sentence for people.</summary>
/// <param name="Quality">The best quality that it allows.</param>
/// <param name="Word">Machine word, e.g. weak-emission.</param>
/// <param name="Sentence">What it means, with numbers.</param>
public sealed record WindQualityReason(WindQuality Quality, string Word, string Sentence);
