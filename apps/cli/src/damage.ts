/** A compressed log that could not be unpacked to its end: said where the output itself would not show it. */
import type { ProblemCount } from '@firstcrank/decoder'
import { type Io, Output } from './output.js'

/** Says on standard error that the log is not whole, where it is not. What came before has been read. */
export async function noteDamage(problems: readonly ProblemCount[], io: Io): Promise<void> {
  if (!problems.some(({ code }) => code === 'damaged-compression')) return
  const notes = new Output(io.stderr)
  notes.add('firstcrank: the compressed log is damaged or ends early; only what came before was read\n')
  await notes.flush()
}
