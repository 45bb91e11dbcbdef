using Phasekeeper.Storage;

namespace Phasekeeper.Web.Features.People;

/// <summary>Who works in this request or circuit. Scoped; endpoints, static pages and circuits ask the same question.</summary>
public interface ICurrentActor
{
    /// <summary>The signed-in actor.</summary>
    /// <exception cref="InvalidOperationException">Nobody is signed in: the endpoint or page lacks a policy.</exception>
    /// <exception cref="AccessDeniedException">Password, roles or lock were changed since the sign-in.</exception>
    Task<Actor> GetAsync();

    /// <summary>The signed-in actor for something that asks for a role. Handlers of buttons call it: what a page hides is not thereby refused.</summary>
    /// <exception cref="AccessDeniedException">The actor's roles do not reach.</exception>
    async Task<Actor> GetAsync(string needed)
    {
        var actor = await GetAsync().ConfigureAwait(false);
        return Roles.Covers(actor.Role, needed) ? actor : throw new AccessDeniedException(actor, needed);
    }
}

/// <summary>Something was asked for that the actor's roles do not allow.</summary>
public sealed class AccessDeniedException(string message) : InvalidOperationException(message)
{
    /// <summary>The role does not reach.</summary>
    public AccessDeniedException(Actor actor, string needed) : this($"This asks for the role '{needed}'; {actor.Name} works as '{actor.Role}'. Ask an administrator for the role.")
    {
    }
}
