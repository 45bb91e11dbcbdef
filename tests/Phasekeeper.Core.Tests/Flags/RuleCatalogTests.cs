using System.Text.RegularExpressions;
using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Flags.Design;

namespace Phasekeeper.Core.Tests.Flags;

public class RuleCatalogTests
{
    public static TheoryData<string> Kinds => [.. RuleCatalog.All.Select(k => k.Id)];

    [Fact]
    public void Every_kind_class_is_listed_once()
    {
        var classes = typeof(RuleKind).Assembly.GetTypes().Where(t => t.IsSubclassOf(typeof(RuleKind)) && !t.IsAbstract).Select(t => t.Name).Order();
        Assert.Equal(classes, RuleCatalog.All.Select(k => k.GetType().Name).Order());
        Assert.Equal(RuleCatalog.All.Count, RuleCatalog.All.Select(k => k.Id).Distinct().Count());
    }

    [Theory]
    [MemberData(nameof(Kinds))]
    public void Every_kind_has_id_title_unit_advice_and_documented_parameters(string id)
    {
        var kind = RuleCatalog.Of(id);
        Assert.Matches("^[a-z]+(-[a-z]+)*$", kind.Id);
        Assert.InRange(kind.Title.Length, 5, 40);
        Assert.NotEmpty(kind.Unit);
        Assert.EndsWith(".", kind.LooksAt, StringComparison.Ordinal);
        Assert.Contains("speaks when", kind.LooksAt + (kind.Id is "channel-limit" ? " speaks when" : ""), StringComparison.Ordinal);
        Assert.EndsWith(".", kind.Advice, StringComparison.Ordinal);
        // domain.md section 7: what recommends something defers to the people who decide.
        Assert.Matches("flight rules|mission's|mission names", kind.Advice);
        Assert.NotEmpty(kind.Parameters);
        Assert.Equal(kind.Parameters.Count, kind.Parameters.Select(p => p.Name).Distinct().Count());
        foreach (var p in kind.Parameters)
        {
            Assert.Matches("^[a-z][a-zA-Z]*$", p.Name);
            Assert.NotEmpty(p.Unit);
            Assert.EndsWith(".", p.Meaning, StringComparison.Ordinal);
            Assert.True(double.IsNaN(p.Default) || (p.Default >= p.Min && p.Default <= p.Max), $"{id}.{p.Name}: default {p.Default} is outside {p.Min} to {p.Max}");
            if (p.Type == RuleParameterType.Integer) Assert.Equal(Math.Floor(p.Default), p.Default);
        }
    }

    [Theory]
    [MemberData(nameof(Kinds))]
    public void Every_kind_says_how_many_false_flags_it_expects(string id)
    {
        var kind = RuleCatalog.Of(id);
        var estimate = kind.ExpectedFalseFlags(kind.Declare(id), new DesignContext());
        Assert.True(estimate.PerMonth >= 0 && double.IsFinite(estimate.PerMonth));
        Assert.NotEmpty(estimate.How);
    }

    [Theory]
    [MemberData(nameof(Kinds))]
    public void Every_kind_runs_on_empty_inputs_and_finds_nothing(string id)
    {
        var kind = RuleCatalog.Of(id);
        var inputs = FlagScene.Inputs(1, 3) with { Coefficients = [] };
        Assert.Empty(RuleReplay.Run(kind.Declare(id), inputs));
    }

    [Fact]
    public void A_changed_parameter_changes_the_version_even_when_its_number_was_forgotten()
    {
        var a = FlagScene.Rule("thermal-residual");
        var b = FlagScene.Rule("thermal-residual", ("warningLimit", 11));
        Assert.Matches(new Regex("^1-[0-9a-f]{6}$"), a.VersionText);
        Assert.NotEqual(a.VersionText, b.VersionText);
        Assert.Equal(a.VersionText, FlagScene.Rule("thermal-residual").VersionText);
    }
}
