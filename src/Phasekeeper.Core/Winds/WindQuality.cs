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

/// <summary>One reason why a wind is not good, or what else to know of it: a word for machines and a sentence for people.</summary>
/// <param name="Quality">The best quality that it allows; <see cref="WindQuality.Good"/> for what is to be known of a wind that its σ tells all about.</param>
/// <param name="Word">Machine word, e.g. weak-emission.</param>
/// <param name="Sentence">What it means, with numbers.</param>
public sealed record WindQualityReason(WindQuality Quality, string Word, string Sentence);
