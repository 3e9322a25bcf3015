/** What the options about reading say, for the library. */
import type { GroupDefinition, SummaryOptions } from '@firstcrank/decoder'
import type { Arguments } from './arguments.js'
import { CommandError } from './command-error.js'
import { bitRate } from './numbers.js'
import { readTextFile } from './text-file.js'

/**
 * The options of `args` as the library takes them.
 *
 * @throws {CommandError} 2, 3, 4
 */
export async function logOptions(args: Arguments): Promise<SummaryOptions> {
  if (args.has('deltas') && args.has('absolute')) {
    throw new CommandError(2, '--deltas and --absolute contradict each other; give one of them')
  }
  const rate = args.text('bit-rate')
  const definitions = await ownDefinitions(args)
  return {
    ...(args.has('deltas') ? { deltas: true } : {}),
    ...(args.has('absolute') ? { deltas: false } : {}),
    ...(rate === undefined ? {} : { bitRate: bitRate(rate) }),
    ...(definitions.length === 0 ? {} : { definitions }),
  }
}

/** Mistakes of a definition file that are shown. */
const MISTAKES_SHOWN = 10

/**
 * The groups of the file that `--definitions` names; none where it was not given.
 *
 * @throws {CommandError} 3 where it cannot be read, 4 where it cannot be used
 */
export async function ownDefinitions(args: Arguments): Promise<readonly GroupDefinition[]> {
  const name = args.text('definitions')
  if (name === undefined) return []
  const text = await readTextFile(`--definitions ${name}`, name)
  const { DefinitionsError, parseDefinitions } = await import('@firstcrank/definitions')
  try {
    return parseDefinitions(text)
  } catch (error) {
    if (!(error instanceof DefinitionsError)) throw error
    const { problems } = error
    const shown = problems.slice(0, MISTAKES_SHOWN).map((problem) => `\n  ${problem}`)
    const more = problems.length > MISTAKES_SHOWN ? `\n  and ${problems.length - MISTAKES_SHOWN} more` : ''
    throw new CommandError(4, `--definitions ${name}: cannot be used:${shown.join('')}${more}`, { cause: error })
  }
}
