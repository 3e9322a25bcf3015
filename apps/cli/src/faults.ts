/** `firstcrank faults`: every stretch in which a node listed a fault. */
import { summarizeLog } from '@firstcrank/decoder'
import type { RunCommand } from './commands.js'
import { noteDamage } from './damage.js'
import { faultReport } from './fault-report.js'
import { faultsJson } from './faults-json.js'
import { faultsText } from './faults-text.js'
import { toJson } from './json.js'
import { readLog } from './log-file.js'
import { logOptions } from './log-options.js'

/** Writes the faults of a log. */
export const faults: RunCommand = async (args, io, output) => {
  const format = args.format()
  const name = args.logName()
  const options = await logOptions(args)
  const summary = await summarizeLog(readLog(name, io), options)
  const report = faultReport(summary, options.definitions)
  if (format === 'json') output.add(`${toJson(faultsJson(report))}\n`)
  else output.addLines(faultsText(report))
  await noteDamage(summary.problems.counts, io)
}
