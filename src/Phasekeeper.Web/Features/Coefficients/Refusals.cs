using Phasekeeper.Storage;
using Phasekeeper.Web.Features.People;

namespace Phasekeeper.Web.Features.Coefficients;

/// <summary>What a form shows when the desk, or the caller's role, refuses.</summary>
internal static class Refusals
{
    /// <summary>Does a step; gives the words of the refusal, or null when it was done. Anything else that goes wrong goes on.</summary>
    public static async Task<string?> OfAsync(Func<Task> step)
    {
        try
        {
            await step();
            return null;
        }
        catch (Exception refused) when (refused is DecisionRefusedException or AccessDeniedException)
        {
            return refused.Message;
        }
    }
}
