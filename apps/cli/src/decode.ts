/** `firstcrank decode`: every value or every message of a log, in a stream of lines. */
import { CommandError } from './command-error.js'
import type { RunCommand } from './commands.js'
import { noteDamage } from './damage.js'
import { type LogLines, writeLog } from './log-lines.js'
import { logOptions } from './log-options.js'
import { MESSAGE_FORMS, type MessageForm } from './message-form.js'
import { MessageLines } from './message-lines.js'
import { Output } from './output.js'
import { TimeWindow } from './time-window.js'
import { valueFilter } from './value-filter.js'
import { VALUE_FORMS, type ValueForm } from './value-form.js'
import { ValueLines } from './value-lines.js'

/** Writes the values of a log, or its messages. */
export const decode: RunCommand = async (args, io, output) => {
  const format = args.format()
  const filter = valueFilter(args)
  const isWhole = args.has('messages')
  if (isWhole && filter.spns !== undefined) {
    throw new CommandError(2, '--messages and --spn: a message is shown whole; choose it by its group, with --pgn')
  }
  const name = args.logName()
  const options = await logOptions(args)
  const window = new TimeWindow(filter)
  const write = async <Plan>(lines: LogLines<Plan>): Promise<void> => {
    const reader = await writeLog(name, lines, window, options, io, output)
    await noteDamage(reader.problems.counts(), io)
    if (lines.written > 0) return
    const notes = new Output(io.stderr)
    notes.add(`firstcrank: ${lines.whyNone(reader)}\n`)
    await notes.flush()
  }
  const { definitions } = options
  await (isWhole
    ? write(new MessageLines(output, MESSAGE_FORMS[format] as MessageForm, filter, window, definitions))
    : write(new ValueLines(output, VALUE_FORMS[format] as ValueForm, filter, window, definitions)))
}
