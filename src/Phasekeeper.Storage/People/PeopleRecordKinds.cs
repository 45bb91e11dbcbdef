namespace Phasekeeper.Storage;

/// <summary>Kinds of entries of the record that are about people, as <see cref="RecordKinds"/> writes them.</summary>
public static class PeopleRecordKinds
{
    /// <summary>A person was added.</summary>
    public const string Add = "person.add";
    /// <summary>A person has other roles now.</summary>
    public const string Roles = "person.roles";
    /// <summary>A person was locked by an administrator.</summary>
    public const string Lock = "person.lock";
    /// <summary>A person was let in again.</summary>
    public const string Unlock = "person.unlock";
    /// <summary>An administrator set a new password.</summary>
    public const string Reset = "person.reset";
    /// <summary>A person changed the password.</summary>
    public const string Password = "person.password";
    /// <summary>A person signed in.</summary>
    public const string SignIn = "person.sign-in";
    /// <summary>A person ended all sessions.</summary>
    public const string SignOutEverywhere = "person.sign-out-everywhere";
    /// <summary>Sign-in was tried and refused: the first of a while, or how many more there were.</summary>
    public const string Refuse = "person.refuse";
    /// <summary>Sign-in pauses after too many wrong passwords.</summary>
    public const string Pause = "person.pause";
    /// <summary>A token was made.</summary>
    public const string TokenAdd = "token.add";
    /// <summary>A token was revoked.</summary>
    public const string TokenRevoke = "token.revoke";
}
