/** What somebody probably meant. */

/** Letters that may be wrong in a word for it still to be the one meant. */
const MOST_EDITS = 2

/** The word most like another; undefined where none is much like it. */
export function nearest<Word extends string>(typed: string, words: readonly Word[]): Word | undefined {
  let best: Word | undefined
  let fewest = MOST_EDITS + 1
  for (const word of words) {
    const edits = editsBetween(typed, word)
    if (edits < fewest && edits < word.length - 1) {
      best = word
      fewest = edits
    }
  }
  return best
}

/** Letters to put in, take out or change to make one word the other. */
function editsBetween(one: string, other: string): number {
  let row = Array.from({ length: other.length + 1 }, (_, at) => at)
  for (let i = 1; i <= one.length; i++) {
    const next = [i]
    for (let j = 1; j <= other.length; j++) {
      const change = (row[j - 1] as number) + (one[i - 1] === other[j - 1] ? 0 : 1)
      next.push(Math.min(change, (row[j] as number) + 1, (next[j - 1] as number) + 1))
    }
    row = next
  }
  return row[other.length] as number
}
