/** `firstcrank summary`: what is in a log. */
import { summarizeLog } from '@firstcrank/decoder'
import type { RunCommand } from './commands.js'
import { faultReport } from './fault-report.js'
import { toJson } from './json.js'
import { readLog } from './log-file.js'
import { logOptions } from './log-options.js'
import { summaryJson } from './summary-json.js'
import { summaryText } from './summary-text.js'

/** Writes what is in a log. */
export const summary: RunCommand = async (args, io, output) => {
  const format = args.format()
  const name = args.logName()
  const options = await logOptions(args)
  const report = faultReport(await summarizeLog(readLog(name, io), options), options.definitions)
  if (format === 'json') output.add(`${toJson(summaryJson(report))}\n`)
  else output.addLines(summaryText(report))
}
