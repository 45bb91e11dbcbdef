using Phasekeeper.Packets.Xtce;

namespace Phasekeeper.Packets.Decoding;

/// <summary>What the compiler makes: flat tables that the decoder walks.</summary>
internal sealed class PlanTables
{
    public List<Slot> Slots { get; } = [];
    public List<Instruction> Instructions { get; } = [];
    public List<DynamicSize> Sizes { get; } = [];
    public List<CompiledComparison[]> Conditions { get; } = [];
    public List<ArrayPlan> Arrays { get; } = [];
    public List<Node> Nodes { get; } = [];
    public List<int> Roots { get; } = [];
    public int SampleSlot { get; set; } = -1;
    public int FixedSamples { get; set; } = 256;
}
