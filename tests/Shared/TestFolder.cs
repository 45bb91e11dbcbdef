namespace Phasekeeper.Tests;

/// <summary>Folders that tests make.</summary>
public static class TestFolder
{
    private const int Tries = 50;

    /// <summary>
    /// Deletes a folder with all in it. A page's test may end while the page still reads, and a database that is opened then makes its side files again: the folder is tried once more until it is gone, for some ten seconds.
    /// </summary>
    public static void Delete(string folder)
    {
        for (var turn = 1; Directory.Exists(folder); turn++)
        {
            try
            {
                Directory.Delete(folder, recursive: true);
            }
            catch (IOException) when (turn < Tries)
            {
                Thread.Sleep(10 * turn);
            }
        }
    }
}
