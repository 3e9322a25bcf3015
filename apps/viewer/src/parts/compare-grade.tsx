/** How far a repair is proved, as a word with a shape beside it; named as the analysis names it. */
import { GRADE_WORDS, type Grade } from '@firstcrank/analysis'
import { compareText } from '../words/compare-text.js'
import { Stamp, type StampKind } from './stamp.js'

const KINDS: Readonly<Record<Grade, StampKind>> = {
  proved: 'pass',
  supported: 'none-found',
  'not-proved': 'caution',
  'not-tested': 'nothing-judged',
  'came-back': 'fail',
}

/** The worst first: what all faults together are graded by. */
const WORST: readonly Grade[] = ['came-back', 'not-proved', 'not-tested', 'supported', 'proved']

/** The grade of several faults is that of the worst; null where none of them was to be repaired. */
export function worstGrade(grades: readonly (Grade | null)[]): Grade | null {
  return WORST.find((grade) => grades.includes(grade)) ?? null
}

/** Shape and word. */
export function GradeStamp({ grade, big = false }: { readonly grade: Grade | null; readonly big?: boolean }) {
  const [kind, word] =
    grade === null ? (['nothing-judged', compareText.nothing] as const) : [KINDS[grade], GRADE_WORDS[grade]]
  return <Stamp kind={kind} word={begun(word)} big={big} />
}

function begun(words: string): string {
  return words.charAt(0).toUpperCase() + words.slice(1)
}
