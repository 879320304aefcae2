// Runs the accessibility rules and tells each fault in one line.
async (lib, enhanced) => {
  const result = await axe.run(document, {
    runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22a", "wcag22aa", "best-practice"],
    rules: { "target-size": { enabled: true }, "color-contrast-enhanced": { enabled: enhanced } },
    resultTypes: ["violations"],
  });
  return result.violations.flatMap((rule) => rule.nodes.map((node) =>
    `${rule.id} (${node.impact ?? rule.impact}) at ${node.target.flat().join(" ")}: ${lib.words(node.failureSummary)} — ${lib.short(node.html)}`));
}
