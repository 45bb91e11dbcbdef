namespace Phasekeeper.Core.Notices;

/// <summary>A signed request as an example that a receiver's program can be tried with. A test compares it with what openssl computed.</summary>
public static class WebhookExample
{
    /// <summary>Key.</summary>
    public const string Key = "pkw_example-key";

    /// <summary>Value of <see cref="WebhookSignature.TimeHeader"/>, Unix seconds.</summary>
    public const long UnixSeconds = 1924992000;

    /// <summary>Body, as its bytes in UTF-8.</summary>
    public const string Body = """{"id":"0123","text":"Lamp 12 % below its limit"}""";

    /// <summary>Value of <see cref="WebhookSignature.SignatureHeader"/>.</summary>
    public const string Signature = "v1=bb5543c468190187aeaa4d2488a83770c326ddfa2e6a27c9a341d5b661d8a9ef";

    /// <summary>Age at which a receiver had best refuse a time stamp, s (chosen: clocks differ by seconds, and who recorded a request gets no longer to send it again).</summary>
    public const int OldestSeconds = 300;

    /// <summary>How another program computes the same.</summary>
    public const string Command = "printf '%s.%s' \"$TIMESTAMP\" \"$BODY\" | openssl dgst -sha256 -hmac \"$KEY\"";
}
