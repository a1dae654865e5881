#!/usr/bin/env node
// A failure to load must not end in Node's own status 1, which means "loud".
try {
  const { main } = await import("../dist/cli/main.js");
  await main(process.argv);
} catch (error) {
  process.stderr.write(`quietspar: cannot start: ${error instanceof Error ? error.message : error}\n`);
  process.exitCode = 70;
}
