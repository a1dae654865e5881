// Preloaded into a timed run: says the peak resident memory (kB) on standard error when it ends.
process.on("exit", () => {
  process.stderr.write(`peak-kB ${process.resourceUsage().maxRSS}\n`);
});
