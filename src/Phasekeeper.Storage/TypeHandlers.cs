using System.Data;
using Dapper;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage;

/// <summary>How Dapper reads and writes the project's own types: an Instant is an INTEGER of TAI nanoseconds.</summary>
internal static class TypeHandlers
{
    public static void Register() => SqlMapper.AddTypeHandler(new InstantHandler());

    private sealed class InstantHandler : SqlMapper.TypeHandler<Instant>
    {
        public override void SetValue(IDbDataParameter parameter, Instant value) => parameter.Value = value.TaiNanoseconds;

        public override Instant Parse(object value) => new((long)value);
    }
}
