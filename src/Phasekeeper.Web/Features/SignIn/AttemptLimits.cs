using System.Net;
using System.Net.Sockets;
using System.Threading.RateLimiting;

namespace Phasekeeper.Web.Features.SignIn;

/// <summary>How many wrong passwords or tokens are answered before the next one has to wait. Right ones are not counted.</summary>
/// <param name="PerAddress">Wrong ones at a stretch from one network address, whatever the name.</param>
/// <param name="AddressEvery">After that one more each such time.</param>
/// <param name="PerName">Wrong passwords at a stretch for one name, whether somebody has it or not.</param>
/// <param name="NameEvery">After that one more each such time.</param>
/// <param name="WaitingPerName">Attempts for one name that may wait for the one before; more are refused at once.</param>
public sealed record AttemptRates(int PerAddress, TimeSpan AddressEvery, int PerName, TimeSpan NameEvery, int WaitingPerName)
{
    /// <summary>
    /// Chosen: a team behind one address mistypes some thirty times at the start of a shift, and who tries names and passwords in turn gets six a minute. A name allows twice the wrong passwords after which
    /// sign-in pauses, so that a pause lifted by an administrator is felt at once.
    /// </summary>
    public static readonly AttemptRates Default = new(30, TimeSpan.FromSeconds(10), 2 * SignInRegistration.WrongPasswords, TimeSpan.FromSeconds(30), 5);
}

/// <summary>
/// Slows down guessing where the pause of an account does not reach: one password tried on many names, names that nobody has, tokens. And lets only one attempt at a time look at an account, so that
/// attempts sent together are counted one by one.
/// </summary>
public sealed class AttemptLimits : IDisposable
{
    private const int LongestKey = 128;
    private readonly PartitionedRateLimiter<string> addresses;
    private readonly PartitionedRateLimiter<string> names;
    private readonly PartitionedRateLimiter<string> tokens;
    private readonly PartitionedRateLimiter<string> turns;
    private readonly AttemptRates rates;

    /// <summary>Limits with these rates.</summary>
    public AttemptLimits(AttemptRates rates)
    {
        ArgumentNullException.ThrowIfNull(rates);
        this.rates = rates;
        (addresses, tokens, names) = (Buckets(rates.PerAddress, rates.AddressEvery), Buckets(rates.PerAddress, rates.AddressEvery), Buckets(rates.PerName, rates.NameEvery));
        turns = PartitionedRateLimiter.Create<string, string>(key => RateLimitPartition.GetConcurrencyLimiter(key, _ => new() { PermitLimit = 1, QueueLimit = rates.WaitingPerName }));
    }

    /// <summary>How long a password for this name from there has to wait; null: not at all.</summary>
    public TimeSpan? PasswordWait(HttpContext? http, string name) => Wait(addresses, AddressOf(http)) ?? Wait(names, Short(name));

    /// <summary>Counts a wrong password.</summary>
    public void WrongPassword(HttpContext? http, string name)
    {
        Take(addresses, AddressOf(http));
        Take(names, Short(name));
    }

    /// <summary>How long a token from there has to wait; null: not at all.</summary>
    public TimeSpan? TokenWait(HttpContext http) => Wait(tokens, AddressOf(http));

    /// <summary>Counts a token that nobody has.</summary>
    public void WrongToken(HttpContext http) => Take(tokens, AddressOf(http));

    /// <summary>Waits until no other attempt looks at the account; give the turn back by disposing it. Null: too many wait already, try again after <see cref="AttemptRates.NameEvery"/>.</summary>
    public async Task<IDisposable?> TurnAsync(string name, CancellationToken cancel = default)
    {
        var turn = await turns.AcquireAsync(Short(name), 1, cancel).ConfigureAwait(false);
        if (turn.IsAcquired) return turn;
        turn.Dispose();
        return null;
    }

    /// <summary>The wait of an attempt that found no turn.</summary>
    public TimeSpan NoTurnWait => rates.NameEvery;

    /// <inheritdoc/>
    public void Dispose()
    {
        addresses.Dispose();
        names.Dispose();
        tokens.Dispose();
        turns.Dispose();
    }

    /// <summary>
    /// What counts as one address: an IPv6 network of 64 bits, since one machine has all of its addresses. A proxy on this machine connects from loopback for everyone: what it wrote last
    /// into X-Forwarded-For tells its callers apart. It is believed for nothing but this.
    /// </summary>
    public static string AddressOf(HttpContext? http)
    {
        if (http?.Connection.RemoteIpAddress is not { } address) return "none";
        if (IPAddress.IsLoopback(address) && http.Request.Headers["X-Forwarded-For"].ToString().Split(',')[^1].Trim() is { Length: > 0 } said) return Short("by proxy " + (IPAddress.TryParse(said, out var caller) ? Network(caller) : said));
        return Network(address);
    }

    private static string Network(IPAddress address)
    {
        if (address.IsIPv4MappedToIPv6) address = address.MapToIPv4();
        return address.AddressFamily == AddressFamily.InterNetworkV6 ? Convert.ToHexString(address.GetAddressBytes().AsSpan(0, 8)) : address.ToString();
    }

    private static PartitionedRateLimiter<string> Buckets(int atAStretch, TimeSpan every) => PartitionedRateLimiter.Create<string, string>(key => RateLimitPartition.GetTokenBucketLimiter(key, _ => new()
    {
        TokenLimit = atAStretch,
        TokensPerPeriod = 1,
        ReplenishmentPeriod = every,
        QueueLimit = 0,
    }));

    private static TimeSpan? Wait(PartitionedRateLimiter<string> limiter, string key)
    {
        if (limiter.GetStatistics(key) is { CurrentAvailablePermits: > 0 }) return null;
        // Refused, and so takes nothing, but tells how long.
        using var lease = limiter.AttemptAcquire(key);
        return lease.IsAcquired ? null : lease.TryGetMetadata(MetadataName.RetryAfter, out var wait) ? wait : TimeSpan.FromMinutes(1);
    }

    private static void Take(PartitionedRateLimiter<string> limiter, string key) => limiter.AttemptAcquire(key).Dispose();

    private static string Short(string key) => key.Length > LongestKey ? key[..LongestKey] : key;
}
