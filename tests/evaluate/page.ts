/** `docs/evaluation.md`: an introduction and two parts that are made apart, since each takes minutes. */

/** Parts in their order. */
export const PARTS = ['causes', 'repairs'] as const
export type PartName = (typeof PARTS)[number]

/** What a line with a result begins with; `docs/verification.md` quotes these lines. */
export const RESULT = '**Result:**'

const INTRO = `# Evaluation

Made by \`npm run evaluate\`; do not edit. Every recording in it is simulated: the engine and its faults are invented, so that what is really wrong is known. It says how well the analysis finds what the simulator built in, not how well it does on a real engine.`

const markerOf = (name: PartName): string => `<!-- part: ${name} -->`

/** The page with one part put in or exchanged; the others stay as they are. */
export function withPart(page: string, name: PartName, part: string): string {
  const parts = { ...partsOf(page), [name]: part.trim() }
  const blocks = PARTS.flatMap((each) => (parts[each] === undefined ? [] : [`${markerOf(each)}\n\n${parts[each]}`]))
  return `${[INTRO, ...blocks].join('\n\n')}\n`
}

/** The parts a page has. */
export function partsOf(page: string): Partial<Record<PartName, string>> {
  const places = PARTS.map((name) => ({ name, at: page.indexOf(markerOf(name)) })).filter(({ at }) => at >= 0)
  return Object.fromEntries(
    places.map(({ name, at }, index) => [
      name,
      page.slice(at + markerOf(name).length, places[index + 1]?.at ?? page.length).trim(),
    ]),
  )
}
