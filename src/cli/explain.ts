import type { Command } from "commander";
import { InputError } from "../errors.js";
import { EXIT, type ExitStatus } from "./exit-status.js";
import { print } from "./output.js";

/** `quietspar explain REASON`: the page for one reason of the verdict or one quality check. */
export function addExplain(program: Command, finish: (status: ExitStatus) => void): void {
  program
    .command("explain")
    .summary("what a reason means, what usually causes it, what to try")
    .description("Prints the page for one reason or quality check; without a name, lists them.")
    .argument("[reason]", "name of the reason, as the verdict prints it")
    .addHelpText("after", "\nExample:\n  $ quietspar explain mode-separation")
    .action(async (reason: string | undefined) => {
      await explain(reason);
      finish(EXIT.ok);
    });
}

async function explain(reason: string | undefined): Promise<void> {
  const { explainReason, reasonIds } = await import("../verdict/explain.js");
  if (reason === undefined) {
    await print(`${reasonIds().join("\n")}\n`);
    return;
  }
  const page = explainReason(reason);
  if (page === null) {
    throw new InputError("usage", `no reason is called "${reason}"`, `choose from ${reasonIds().join(", ")}`);
  }
  await print(page.endsWith("\n") ? page : `${page}\n`);
}
