/** The command line, from its words to its exit code. */
import { existsSync, readFileSync } from 'node:fs'
import { readArguments } from './arguments.js'
import { CommandError, type ExitCode } from './command-error.js'
import { COMMANDS, findCommand } from './commands.js'
import { commandHelp, fullHelp, shortHelp } from './help.js'
import { nearest } from './nearest.js'
import { type Io, Output, OutputClosed } from './output.js'

/**
 * Runs the command.
 *
 * @param argv the words behind `firstcrank`
 * @returns the exit code, see `EXIT_CODES`; never throws
 */
export async function main(argv: readonly string[], io: Io): Promise<ExitCode> {
  const output = new Output(io.stdout)
  try {
    await dispatch(argv, io, output)
    await output.flush()
    return 0
  } catch (error) {
    return report(error, io)
  }
}

async function dispatch([first, ...rest]: readonly string[], io: Io, output: Output): Promise<void> {
  if (first === undefined) return output.addLines(shortHelp())
  if (first === '--help' || first === '-h') return output.addLines(fullHelp())
  if (first === '--version') return output.add(`firstcrank ${version()}\n`)
  if (first === 'help') return output.addLines(helpOn(rest))
  const command = findCommand(first)
  if (command === undefined) throw new CommandError(2, unknownCommand(first))
  const args = readArguments(command, rest)
  if (args.has('help')) return output.addLines(commandHelp(command))
  const run = await command.load()
  await run(args, io, output)
}

function helpOn([name, second]: readonly string[]): string[] {
  if (name === undefined) return fullHelp()
  if (second !== undefined) throw new CommandError(2, `help is for one command at a time; "${second}" is one too many`)
  const command = findCommand(name)
  if (command === undefined) throw new CommandError(2, unknownCommand(name))
  return commandHelp(command)
}

function unknownCommand(name: string): string {
  if (name.startsWith('-') && name !== '-') {
    return `unknown option ${name}; options stand behind a command. See: firstcrank --help`
  }
  const names = COMMANDS.map((command) => command.name)
  const guess = nearest(name, names)
  if (guess !== undefined) return `there is no command "${name}"; did you mean ${guess}?`
  if (name === '-' || existsSync(name)) return `"${name}" is a log, not a command. Try: firstcrank summary ${name}`
  return `there is no command "${name}"; there are ${names.join(', ')}`
}

/** The version of this package. */
function version(): string {
  const text = readFileSync(new URL('../package.json', import.meta.url), 'utf8')
  return (JSON.parse(text) as { version: string }).version
}

/** Says in one line what went wrong; what nobody has foreseen is our mistake and says so. */
async function report(error: unknown, io: Io): Promise<ExitCode> {
  if (error instanceof OutputClosed) return 0
  const known = error instanceof CommandError
  const [unforeseen] = String(error).split('\n')
  const text = known ? error.message : `a mistake in firstcrank itself, please report it: ${unforeseen}`
  const complaint = new Output(io.stderr)
  complaint.add(`firstcrank: ${text}\n`)
  // Where not even this can be written, the exit code still says it.
  await complaint.flush().catch(() => {})
  return known ? error.exitCode : 1
}
