/** Tells what is going on, on standard error, only on a terminal and only for work that takes over a second. */
export interface Progress {
  stage(name: string): void;
  bytes(count: number): void;
  stop(): void;
}

const SILENT: Progress = { stage: () => {}, bytes: () => {}, stop: () => {} };

/** How long work must take before it is worth a line. */
const PATIENCE_MS = 1000;

/**
 * @param shown false (not a terminal, --quiet, --verbose) gives a progress that says nothing
 */
export async function startProgress(shown: boolean): Promise<Progress> {
  if (!shown) return SILENT;
  const { default: yoctoSpinner } = await import("yocto-spinner");
  const spinner = yoctoSpinner({ text: "reading", stream: process.stderr });
  const timer = setTimeout(() => spinner.start(), PATIENCE_MS);
  timer.unref();
  let said = "reading";
  return {
    stage: (name) => {
      said = name;
      spinner.text = name;
    },
    bytes: (count) => {
      spinner.text = `${said} (${(count / 1e6).toFixed(0)} MB)`;
    },
    stop: () => {
      clearTimeout(timer);
      if (spinner.isSpinning) spinner.stop();
    },
  };
}
