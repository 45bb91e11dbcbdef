namespace Phasekeeper.Storage;

/// <summary>All stores of one data folder, opened together.</summary>
public sealed class Stores : IDisposable
{
    /// <summary>Stores on an open database, which they then own.</summary>
    public Stores(Database database)
    {
        Database = database;
        Archive = new PacketArchive(database);
        Quarantine = new QuarantineStore(database);
        Ingest = new IngestStore(database);
        Work = new WorkQueue(database);
        Telemetry = new TelemetryStore(database);
        Fringes = new FringeStore(database);
        Winds = new WindStore(database);
        WindVectors = new WindVectorStore(database);
        WindBins = new WindBinStore(database);
        WindSums = new WindSumStore(database);
        ZeroWinds = new ZeroWindStore(database);
        Comparisons = new ComparisonStore(database);
        Orbits = new OrbitStore(database);
        Trackers = new TrackerStore(database);
        Charts = new ChartStore(database);
        Flags = new FlagStore(database);
        FlagLives = new FlagLifeStore(database);
        FlagTalk = new FlagTalkStore(database);
        Rules = new RuleStore(database);
        KnownEvents = new KnownEventStore(database);
        Coefficients = new CoefficientStore(database);
        Reprocessing = new ReprocessingStore(database);
        FormerWinds = new FormerWindStore(database);
        Auxiliary = new AuxiliaryStore(database);
        Activities = new ActivityStore(database);
        Streams = new StreamStore(database);
        Claims = new ExposureClaimStore(database);
        Events = new EventStore(database);
        Settings = new SettingStore(database);
        Record = new RecordStore(database);
        People = new PeopleStore(database);
        Tokens = new TokenStore(database);
        SignOffs = new SignOffStore(database);
        Holds = new HoldStore(database);
        HandOvers = new HandOverStore(database);
        WindFigures = new WindFigureStore(database);
        Notices = new NoticeStore(database);
        NoticeQueue = new NoticeQueue(database);
        Annotations = new AnnotationStore(database);
        SharedViews = new SharedViewStore(database);
        Reports = new ReportStore(database);
    }

    /// <summary>Opens or creates a data folder.</summary>
    public static Stores Open(string dataFolder) => new(Database.Open(dataFolder));

    /// <summary>The database.</summary>
    public Database Database { get; }
    /// <summary>Packets.</summary>
    public PacketArchive Archive { get; }
    /// <summary>What could not be used.</summary>
    public QuarantineStore Quarantine { get; }
    /// <summary>What came in.</summary>
    public IngestStore Ingest { get; }
    /// <summary>What must be computed again.</summary>
    public WorkQueue Work { get; }
    /// <summary>Telemetry.</summary>
    public TelemetryStore Telemetry { get; }
    /// <summary>Fringe results.</summary>
    public FringeStore Fringes { get; }
    /// <summary>Winds along the line of sight.</summary>
    public WindStore Winds { get; }
    /// <summary>Wind vectors.</summary>
    public WindVectorStore WindVectors { get; }
    /// <summary>Winds in bins, orbit by orbit.</summary>
    public WindBinStore WindBins { get; }
    /// <summary>Condensed winds of orbits, for the zero wind.</summary>
    public WindSumStore WindSums { get; }
    /// <summary>Zero-wind estimates of days.</summary>
    public ZeroWindStore ZeroWinds { get; }
    /// <summary>Winds beside independent ones.</summary>
    public ComparisonStore Comparisons { get; }
    /// <summary>Orbits.</summary>
    public OrbitStore Orbits { get; }
    /// <summary>Tracker values.</summary>
    public TrackerStore Trackers { get; }
    /// <summary>States of the trackers' charts.</summary>
    public ChartStore Charts { get; }
    /// <summary>Flags.</summary>
    public FlagStore Flags { get; }
    /// <summary>Sign-offs of days.</summary>
    public SignOffStore SignOffs { get; }
    /// <summary>Which orbits' winds are held.</summary>
    public HoldStore Holds { get; }
    /// <summary>Notes from shift to shift.</summary>
    public HandOverStore HandOvers { get; }
    /// <summary>Winds of orbits in figures.</summary>
    public WindFigureStore WindFigures { get; }
    /// <summary>What people did with flags, and the steps.</summary>
    public FlagLifeStore FlagLives { get; }
    /// <summary>Mentions, links and plots of flags.</summary>
    public FlagTalkStore FlagTalk { get; }
    /// <summary>Versions of the flag rules and decisions about them.</summary>
    public RuleStore Rules { get; }
    /// <summary>Events that people know of.</summary>
    public KnownEventStore KnownEvents { get; }
    /// <summary>Coefficient sets.</summary>
    public CoefficientStore Coefficients { get; }
    /// <summary>What decisions about them make again.</summary>
    public ReprocessingStore Reprocessing { get; }
    /// <summary>Winds as they were before.</summary>
    public FormerWindStore FormerWinds { get; }
    /// <summary>Orbit, attitude and activity files.</summary>
    public AuxiliaryStore Auxiliary { get; }
    /// <summary>Planned activities.</summary>
    public ActivityStore Activities { get; }
    /// <summary>Coverage, gaps, clock jumps, conflicts.</summary>
    public StreamStore Streams { get; }
    /// <summary>Which hours hold which exposures.</summary>
    public ExposureClaimStore Claims { get; }
    /// <summary>What changed.</summary>
    public EventStore Events { get; }
    /// <summary>Key-value settings.</summary>
    public SettingStore Settings { get; }
    /// <summary>Who decided and changed what.</summary>
    public RecordStore Record { get; }
    /// <summary>People who sign in.</summary>
    public PeopleStore People { get; }
    /// <summary>Tokens of their scripts.</summary>
    public TokenStore Tokens { get; }
    /// <summary>What people want to be told, and what is to be told.</summary>
    public NoticeStore Notices { get; }
    /// <summary>Messages to be delivered.</summary>
    public NoticeQueue NoticeQueue { get; }
    /// <summary>Notes on stretches of time.</summary>
    public AnnotationStore Annotations { get; }
    /// <summary>States of pages under a name.</summary>
    public SharedViewStore SharedViews { get; }
    /// <summary>Archive of reports.</summary>
    public ReportStore Reports { get; }

    /// <inheritdoc/>
    public void Dispose()
    {
        Archive.Dispose();
        Database.Dispose();
    }
}
