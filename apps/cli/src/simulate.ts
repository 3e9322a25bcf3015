/** `firstcrank simulate`: a log of the invented engine. */
import { type FileHandle, open, writeFile } from 'node:fs/promises'
import { resolve } from 'node:path'
import type { SimulationOptions } from '@firstcrank/simulator'
import type { Arguments } from './arguments.js'
import { CommandError, fileProblem } from './command-error.js'
import type { RunCommand } from './commands.js'
import { decimalNumber } from './numbers.js'
import type { Output } from './output.js'
import { count, table } from './text.js'
import { durationText } from './time.js'

/** Writes a simulated log, or the list of scenarios. */
export const simulateScenario: RunCommand = async (args, _io, output) => {
  const { SCENARIOS, SimulationError, simulate } = await import('@firstcrank/simulator')
  const [name, second] = args.positionals
  if (args.has('list')) {
    const columns = [{ title: 'scenario' }, { title: 'what happens' }]
    return output.addLines(
      table(
        columns,
        SCENARIOS.map((scenario) => [scenario.name, scenario.title]),
      ),
    )
  }
  if (name === undefined) throw new CommandError(2, 'simulate needs a scenario; see: firstcrank simulate --list')
  if (second !== undefined) throw new CommandError(2, `simulate takes one scenario; "${second}" is one too many`)
  try {
    const simulation = simulate(name, simulationOptions(args))
    const out = args.text('out')
    if (out === undefined) throw new CommandError(2, 'simulate needs --out FILE, or --out - for standard output')
    const truthFile = args.text('truth')
    if (truthFile === '-') throw new CommandError(2, '--truth needs the name of a file; standard output is for the log')
    if (truthFile !== undefined && resolve(truthFile) === resolve(out)) {
      throw new CommandError(2, `--out and --truth name the same file, ${out}`)
    }
    if (out === '-') await writeToOutput(simulation.chunks, output)
    else await writeToFile(simulation.chunks, out)
    const truth = simulation.truth()
    if (truthFile !== undefined) await writeTruth(truthFile, `${JSON.stringify(truth, null, 2)}\n`)
    if (out === '-') return
    output.add(`${out}: ${count(truth.frames)} frames, ${durationText(truth.duration * 1e6)}: ${truth.title}.\n`)
    output.add('Simulated: the engine and everything in the log are invented.\n')
  } catch (error) {
    if (!(error instanceof SimulationError)) throw error
    const hint = error.code === 'unknown-scenario' ? '; see: firstcrank simulate --list' : ''
    throw new CommandError(2, `simulate: ${error.message}${hint}`, { cause: error })
  }
}

const NUMBERS = ['seed', 'ambient', 'altitude', 'severity', 'duration'] as const

function simulationOptions(args: Arguments): SimulationOptions {
  const given = NUMBERS.flatMap((name) => {
    const word = args.text(name)
    return word === undefined ? [] : [[name, decimalNumber(name, word)] as const]
  })
  return Object.fromEntries(given)
}

async function writeToOutput(chunks: Iterable<string>, output: Output): Promise<void> {
  for (const chunk of chunks) {
    output.add(chunk)
    await output.flush()
  }
}

async function writeToFile(chunks: Iterable<string>, name: string): Promise<void> {
  let file: FileHandle | undefined
  try {
    file = await open(name, 'w')
    for (const chunk of chunks) await file.write(chunk)
  } catch (error) {
    throw unwritable('out', name, error)
  } finally {
    await file?.close()
  }
}

async function writeTruth(name: string, text: string): Promise<void> {
  try {
    await writeFile(name, text)
  } catch (error) {
    throw unwritable('truth', name, error)
  }
}

/** A failure to write; what is no failure of the system is passed on as it is. */
function unwritable(option: string, name: string, error: unknown): unknown {
  const { syscall, code } = error as NodeJS.ErrnoException
  if (syscall === undefined) return error
  // A file that is written need not be there; its folder must.
  const problem = code === 'ENOENT' ? 'there is no such folder' : fileProblem(error)
  return new CommandError(1, `--${option} ${name}: cannot write it: ${problem}`, { cause: error })
}
