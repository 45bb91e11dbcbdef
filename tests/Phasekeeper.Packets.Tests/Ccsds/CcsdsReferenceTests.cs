using System.Globalization;
using Phasekeeper.Core.Profile;
using Phasekeeper.Core.Time;
using Phasekeeper.Packets.Ccsds;
using Phasekeeper.Tests;

namespace Phasekeeper.Packets.Tests.Ccsds;

/// <summary>Headers, checksums and time codes against check values from outside the project (tests/reference/README.md).</summary>
public class CcsdsReferenceTests
{
    [Fact]
    public void Primary_headers_are_read_and_written_as_in_the_reference()
    {
        // space_packet_headers.csv: CCSDS 133.0-B-2, 4.1.3, packed two ways.
        foreach (var row in ReferenceFiles.ReadCsv("space_packet_headers.csv"))
        {
            var bytes = Convert.FromHexString(row["header_hex"]);
            Assert.True(PrimaryHeader.TryRead(bytes, out var header));
            int Expected(string name) => int.Parse(row[name], CultureInfo.InvariantCulture);
            Assert.Equal(new PrimaryHeader(Expected("version"), Expected("type"), Expected("secondary_header_flag") == 1, Expected("apid"),
                (SequenceFlags)Expected("sequence_flags"), Expected("sequence_count"), Expected("data_length_field")), header);
            Assert.Equal(Expected("packet_octets"), header.PacketLength);
            var written = new byte[6];
            header.Write(written);
            Assert.Equal(bytes, written);
        }
        Assert.False(PrimaryHeader.TryRead(new byte[5], out _));
    }

    [Fact]
    public void Checksums_are_those_of_the_reference()
    {
        // crc16_ccsds.csv: ECSS-E-ST-70-41C annex B and the catalogue's check value 29B1.
        foreach (var row in ReferenceFiles.ReadCsv("crc16_ccsds.csv"))
        {
            var message = Convert.FromHexString(row["message_hex"]);
            var crc = ushort.Parse(row["crc_hex"], NumberStyles.HexNumber, CultureInfo.InvariantCulture);
            Assert.Equal(crc, Crc16.Compute(message));
            byte[] closed = [.. message, (byte)(crc >> 8), (byte)crc];
            Assert.Equal(message.Length > 0, Crc16.Check(closed));
            closed[0] ^= 1;
            Assert.False(Crc16.Check(closed));
        }
    }

    [Fact]
    public void The_checksum_of_any_stretch_of_a_window_is_the_plain_one()
    {
        var random = new Random(20310301);
        var bytes = new byte[5000];
        random.NextBytes(bytes);
        var window = new CrcWindow(bytes, 100, 5000);
        for (var i = 0; i < 200; i++)
        {
            var at = random.Next(100, 4000);
            var length = random.Next(3, 900);
            Assert.False(window.Check(at, length) != Crc16.Check(bytes.AsSpan(at, length)));
        }
        // And one that does end with its checksum.
        var crc = Crc16.Compute(bytes.AsSpan(700, 498));
        (bytes[1198], bytes[1199]) = ((byte)(crc >> 8), (byte)crc);
        Assert.True(new CrcWindow(bytes, 100, 5000).Check(700, 500));
        Assert.False(new CrcWindow(bytes, 100, 5000).Check(700, 501));
    }

    [Fact]
    public void Day_segmented_times_are_those_of_the_reference()
    {
        // ccsds_time_codes.csv: CCSDS 301.0-B-4, 3.3, leap second of 2016-12-31 included.
        var epochDay = TimeCode.EpochDay(new DateTime(1958, 1, 1));
        var rows = 0;
        foreach (var row in ReferenceFiles.ReadCsv("ccsds_time_codes.csv"))
        {
            // Before 1972 there is no leap-second table.
            if (string.CompareOrdinal(row["utc"], "1972") < 0) continue;
            var code = Convert.FromHexString(row["cds_16_us_tfield_hex"]);
            long Part(int at, int n) => (long)Convert.ToUInt64(Convert.ToHexString(code, at, n), 16);
            Assert.True(TimeCode.TryCds(epochDay, TimeScale.Utc, Part(0, 2), Part(2, 4), Part(6, 2), out var time, out var reason), reason);
            Assert.Equal(Instant.ParseUtc(row["utc"]), time);
            // The 24-bit day count says the same, without microseconds.
            code = Convert.FromHexString(row["cds_24_tfield_hex"]);
            Assert.True(TimeCode.TryCds(epochDay, TimeScale.Utc, Part(0, 3), Part(3, 4), 0, out time, out reason), reason);
            Assert.InRange(Instant.ParseUtc(row["utc"]) - time, 0, 0.000_999_999);
            rows++;
        }
        Assert.Equal(11, rows);
    }

    [Theory]
    [InlineData("cuc_4_2_tfield_hex", 16)]
    [InlineData("cuc_4_3_tfield_hex", 24)]
    public void Unsegmented_times_are_those_of_the_reference(string column, int fineBits)
    {
        // ccsds_time_codes.csv: CCSDS 301.0-B-4, 3.2, seconds of TAI since 1958, fraction truncated.
        foreach (var row in ReferenceFiles.ReadCsv("ccsds_time_codes.csv").Where(r => r[column].Length > 0))
        {
            var coarse = Convert.ToUInt64(row[column][..8], 16);
            var fine = Convert.ToUInt64(row[column][8..], 16);
            Assert.True(TimeCode.TryCuc(new DateTime(1958, 1, 1), TimeScale.Tai, coarse, fine, fineBits, out var time, out var reason), reason);
            var oneUnit = Math.ScaleB(1, -fineBits);
            Assert.InRange(Instant.ParseUtc(row["utc"]) - time, -1e-9, oneUnit + 1e-9);
        }
    }

    [Fact]
    public void Gps_time_starts_at_its_own_epoch_and_runs_ahead_of_utc()
    {
        var epoch = new DateTime(1980, 1, 6);
        Assert.True(TimeCode.TryCuc(epoch, TimeScale.Gps, 0, 0, 16, out var start, out _));
        Assert.Equal(Instant.FromUtc(1980, 1, 6), start);
        // GPS week 2000 started at 2018-05-06T00:00:00 GPS = 18 s earlier in UTC (leap_seconds.csv: TAI − UTC = 37 s).
        Assert.True(TimeCode.TryCuc(epoch, TimeScale.Gps, 2000 * 604800UL, 0x8000, 16, out var week2000, out _));
        Assert.Equal(Instant.ParseUtc("2018-05-05T23:59:42.5Z"), week2000);
        Assert.True(TimeCode.TryCds(TimeCode.EpochDay(epoch), TimeScale.Gps, 14000, 0, 0, out var byDays, out _));
        Assert.Equal(Instant.ParseUtc("2018-05-05T23:59:42Z"), byDays);
    }

    [Fact]
    public void A_utc_count_of_seconds_knows_no_leap_seconds()
    {
        Assert.True(TimeCode.TryCuc(new DateTime(1970, 1, 1), TimeScale.Utc, 1_483_228_800, 0, 0, out var time, out _));
        Assert.Equal(Instant.FromUtc(2017, 1, 1), time);
    }

    [Theory]
    [InlineData(21549, 86_400_999, 999, null)]
    [InlineData(21549, 86_401_000, 0, "The millisecond of day is 86401000; that day has 0 to 86400999.")]
    [InlineData(21550, 86_400_000, 0, "The millisecond of day is 86400000; that day has 0 to 86399999.")]
    [InlineData(21550, 0, 1000, "The microsecond of the millisecond is 1000; expected 0 to 999.")]
    [InlineData(16_777_215, 0, 0, "The day count is 16777215: outside the years 1680 to 2260.")]
    public void Invalid_day_segmented_fields_are_impossible(long day, long millisecond, long microsecond, string? expected)
    {
        // Day 21549 since 1958 is 2016-12-31, which ended with a leap second.
        Assert.Equal(expected is null, TimeCode.TryCds(TimeCode.EpochDay(new DateTime(1958, 1, 1)), TimeScale.Utc, day, millisecond, microsecond, out _, out var reason));
        Assert.Equal(expected, reason);
    }

    [Fact]
    public void A_fine_time_that_overflows_its_bits_is_impossible()
    {
        Assert.False(TimeCode.TryCuc(new DateTime(1980, 1, 6), TimeScale.Gps, 1, 256, 8, out _, out var reason));
        Assert.Equal("The fine time is 256; expected less than 2^8.", reason);
        Assert.False(TimeCode.TryCuc(new DateTime(1980, 1, 6), TimeScale.Gps, ulong.MaxValue, 0, 8, out _, out reason));
        Assert.StartsWith("The coarse time is", reason, StringComparison.Ordinal);
    }
}
