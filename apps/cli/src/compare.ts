/** `firstcrank compare`: what two runs of one vehicle say of a repair. */

import { CommandError } from './command-error.js'
import type { RunCommand } from './commands.js'
import { type Json, toJson } from './json.js'
import { logOptions } from './log-options.js'
import { openRun, profileOf, unitsOf, WIDTH } from './runs.js'

/** Writes the comparison of the run before and the run after. */
export const compare: RunCommand = async (args, io, output) => {
  const format = args.format()
  const [before, after, third] = args.positionals
  if (before === undefined || after === undefined) {
    throw new CommandError(2, 'compare needs two logs: the run before the repair, and the run after it')
  }
  if (third !== undefined) throw new CommandError(2, `compare takes two logs; "${third}" is one too many. See: history`)
  if (before === '-' && after === '-') throw new CommandError(2, 'only one of the two logs can be standard input')
  const profile = await profileOf(args)
  const units = unitsOf(args, profile)
  const options = await logOptions(args)
  const { compareRuns, renderComparison } = await import('@firstcrank/analysis')
  const one = await openRun(before, io, options, profile)
  const two = await openRun(after, io, options, profile)
  const comparison = compareRuns(one, two, { sameVehicle: args.has('same-vehicle') })
  if (format === 'json') output.add(`${toJson(comparison as unknown as Json)}\n`)
  else output.add(renderComparison(comparison, format as 'text' | 'html' | 'md', { units, width: WIDTH }))
}
