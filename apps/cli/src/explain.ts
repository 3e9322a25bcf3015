/** `firstcrank explain`: one frame taken apart, or what is known of an SPN or a PGN. */
import { Catalogue } from '@firstcrank/decoder'
import { CommandError } from './command-error.js'
import type { RunCommand } from './commands.js'
import { pgnTextLines, spnText } from './explain-definition.js'
import { frameText } from './explain-frame.js'
import { frameJson, pgnsJson, spnsJson } from './explain-json.js'
import { readFrame } from './frame-input.js'
import { type Json, toJson } from './json.js'
import { ownDefinitions } from './log-options.js'
import { wholeNumbers } from './numbers.js'

/** What is asked, as text and as JSON. */
interface Answer {
  readonly text: (catalogue: Catalogue) => string[]
  readonly json: (catalogue: Catalogue) => Json
}

/** Writes the explanation. */
export const explain: RunCommand = async (args, _io, output) => {
  const format = args.format()
  const answer = answerTo(args.positionals, args.texts('spn'), args.texts('pgn'))
  const catalogue = new Catalogue(await ownDefinitions(args))
  if (format === 'json') output.add(`${toJson(answer.json(catalogue))}\n`)
  else output.addLines(answer.text(catalogue))
}

function answerTo(
  words: readonly string[],
  spnWords: readonly string[] | undefined,
  pgnWords: readonly string[] | undefined,
): Answer {
  const asked = [words.length > 0, spnWords !== undefined, pgnWords !== undefined].filter(Boolean).length
  if (asked !== 1) {
    const problem = asked === 0 ? 'explain needs something to explain' : 'explain takes one of these at a time'
    throw new CommandError(2, `${problem}: an identifier with or without data, --spn N, or --pgn N`)
  }
  if (spnWords !== undefined) {
    const spns = wholeNumbers('spn', spnWords)
    return { text: (all) => joined(spns.map((spn) => spnText(spn, all))), json: (all) => spnsJson(spns, all) }
  }
  if (pgnWords !== undefined) {
    const pgns = wholeNumbers('pgn', pgnWords)
    return { text: (all) => joined(pgns.map((pgn) => pgnTextLines(pgn, all))), json: (all) => pgnsJson(pgns, all) }
  }
  const frame = readFrame(words)
  return { text: (all) => frameText(frame, all), json: (all) => frameJson(frame, all) }
}

/** Parts with a blank line between them. */
function joined(parts: readonly (readonly string[])[]): string[] {
  return parts.flatMap((part, at) => (at === 0 ? part : ['', ...part]))
}
