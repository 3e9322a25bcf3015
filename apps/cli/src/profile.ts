/** `firstcrank profile`: a template to fill in, or a check of one that was. */
import { CommandError } from './command-error.js'
import type { RunCommand } from './commands.js'
import { readProfile } from './profile-file.js'
import { plural } from './text.js'

/** Writes the template of an engine profile, or says whether a profile can be used. */
export const profile: RunCommand = async (args, _io, output) => {
  const [word] = args.positionals
  if (word !== undefined) {
    throw new CommandError(2, `profile takes no argument; to check a profile: firstcrank profile --check ${word}`)
  }
  const name = args.text('check')
  const { profileTemplate } = await import('@firstcrank/analysis')
  if (name === undefined) return output.add(profileTemplate())
  const { title, limits, nodes } = await readProfile(`--check ${name}`, name)
  const own = Object.keys(limits).length
  output.add(`${name}: a profile that can be used.\n`)
  output.add(`  ${title}: ${plural(own, 'limit')} of its own, ${plural(nodes.length, 'node')} that must be there.\n`)
}
