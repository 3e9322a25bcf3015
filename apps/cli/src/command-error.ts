/** How a command ends. */

/** Exit codes: what each means. Documented in `docs/cli.md`. */
export const EXIT_CODES = {
  0: 'done',
  1: 'failed',
  2: 'wrong use of the command',
  3: 'a file cannot be read',
  4: 'a definition file or a profile cannot be used',
  5: 'what --fail-on asks for was found',
} as const

export type ExitCode = keyof typeof EXIT_CODES

/** Why a command could not be carried out, in one line that names the option or file and what to do. */
export class CommandError extends Error {
  readonly exitCode: ExitCode

  constructor(exitCode: ExitCode, message: string, options?: ErrorOptions) {
    super(message, options)
    this.name = 'CommandError'
    this.exitCode = exitCode
  }
}

/** What went wrong with a file, in words; the system's own code where it is none of the usual things. */
export function fileProblem(error: unknown): string {
  const code = (error as NodeJS.ErrnoException).code ?? String(error)
  return FILE_PROBLEMS[code] ?? `the system says ${code}`
}

/** The same words that the server has for them. */
export const FILE_PROBLEMS: Readonly<Record<string, string>> = {
  ENOENT: 'there is no such file',
  ENOTDIR: 'a part of its path is not a folder',
  EISDIR: 'it is a folder, not a file',
  EACCES: 'no permission',
  EPERM: 'no permission',
  EMFILE: 'too many files are open',
  EIO: 'the disk or what it is on has failed',
  EROFS: 'the disk can only be read',
  ENOSPC: 'the disk is full',
  EDQUOT: 'your share of the disk is full',
  EFBIG: 'the disk takes no larger file',
}
