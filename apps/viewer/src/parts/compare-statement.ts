/** The statement on a fault taken apart. Pure. */
import type { FaultComparison } from '@firstcrank/analysis'

/** The statement, and apart from it the conditions of the earlier run that it ends with. */
export function statementParts({ statement, exposure }: Pick<FaultComparison, 'statement' | 'exposure'>): {
  readonly said: string
  readonly missed: readonly string[]
} {
  const missed = exposure?.notExercised ?? []
  const listed = ` Not exercised: ${missed.join('; ')}.`
  if (missed.length === 0 || !statement.endsWith(listed)) return { said: statement, missed: [] }
  return { said: statement.slice(0, -listed.length), missed }
}
