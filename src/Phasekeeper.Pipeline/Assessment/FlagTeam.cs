using Phasekeeper.Core.Flags.Life;

namespace Phasekeeper.Pipeline.Assessment;

/// <summary>Who works with flags, and the words that they choose from.</summary>
/// <param name="People">The mission's people.</param>
/// <param name="Causes">The mission's list of causes.</param>
public sealed record FlagTeam(IReadOnlyList<MissionPerson> People, IReadOnlyList<string> Causes)
{
    /// <summary>Whom a step hands the flag to, as they are listed; null where the step hands over nothing.</summary>
    /// <exception cref="FlagRefusedException">There is no such person, or they cannot work with flags.</exception>
    internal string? NameOf(LifeStep step)
    {
        if (string.IsNullOrWhiteSpace(step.To)) return null;
        if (step.Kind != LifeStepKind.HandOver) throw new FlagRefusedException($"The step {LifeStep.WordOf(step.Kind)} names no other person; only a hand-over does.");
        var name = step.To.Trim();
        var person = People.FirstOrDefault(p => string.Equals(p.Name, name, StringComparison.OrdinalIgnoreCase));
        if (person is { Operates: true }) return person.Name;
        var able = string.Join(", ", People.Where(p => p.Operates).Select(p => p.Name));
        throw new FlagRefusedException(person is null
            ? $"There is nobody called '{name}' here; a flag can be handed over to {able}."
            : $"{person.Name} may look but not work with flags (role viewer); a flag can be handed over to {able}.");
    }

    /// <summary>The people that a comment mentions.</summary>
    /// <exception cref="FlagRefusedException">It mentions somebody who is not here.</exception>
    internal IReadOnlyList<string> MentionedIn(string text)
    {
        var names = People.Select(p => p.Name).ToArray();
        var (people, unknown) = Mentions.In(text, names);
        return unknown.Count == 0 ? people
            : throw new FlagRefusedException($"There is nobody called {string.Join(" or ", unknown.Select(u => $"'{u}'"))} here, so nobody would see the mention. The comment was not sent. People that can be mentioned: {string.Join(", ", names)}.");
    }
}
