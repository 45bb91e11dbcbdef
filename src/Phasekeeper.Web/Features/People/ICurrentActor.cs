using Phasekeeper.Storage;

namespace Phasekeeper.Web.Features.People;

/// <summary>Who works in this request or circuit. Scoped; endpoints, static pages and circuits ask the same question.</summary>
public interface ICurrentActor
{
    /// <summary>The signed-in actor.</summary>
    /// <exception cref="InvalidOperationException">Nobody is signed in: the endpoint or page lacks a policy.</exception>
    Task<Actor> GetAsync();
}
