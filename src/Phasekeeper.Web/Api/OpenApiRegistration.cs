namespace Phasekeeper.Web.Api;

/// <summary>The description at /openapi/v1.json.</summary>
public static class OpenApiRegistration
{
    /// <summary>Registers the document with its title and how to get in.</summary>
    public static IServiceCollection AddPhasekeeperOpenApi(this IServiceCollection services) => services.AddOpenApi("v1", options =>
        options.AddDocumentTransformer((document, _, _) =>
        {
            document.Info.Title = "Phasekeeper";
            document.Info.Version = "1";
            document.Info.Description =
                "Times are ISO 8601 UTC; from is inclusive, to exclusive. Lists come as JSON (items, next) or, with Accept: text/csv, as CSV with a Link header for the next page. "
                + "Angles in degrees, speeds in m/s, phases in radians, heights in km; a missing number is null in JSON and empty in CSV. "
                + "The product advises; it commands nothing.";
            return Task.CompletedTask;
        }));
}
