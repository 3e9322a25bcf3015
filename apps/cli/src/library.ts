/** `firstcrank library`: the library of runs copied to a folder, and back. */
import type { CopyReport } from '@firstcrank/server'
import type { Arguments } from './arguments.js'
import { CommandError, fileProblem } from './command-error.js'
import type { RunCommand } from './commands.js'
import { plural } from './text.js'

/** Copies the library, in one direction or the other. */
export const library: RunCommand = async (args, _io, output) => {
  const [what, folder, more] = args.positionals
  if ((what !== 'backup' && what !== 'restore') || folder === undefined || more !== undefined) {
    throw new CommandError(2, 'library needs to know what to do: library backup FOLDER, or library restore FOLDER')
  }
  const { backUpLibrary, defaultLibrary, restoreLibrary } = await import('@firstcrank/server')
  const own = args.text('library') ?? defaultLibrary()
  try {
    const report = what === 'backup' ? await backUpLibrary(own, folder) : await restoreLibrary(folder, own)
    output.add(what === 'backup' ? `${own} is copied to ${folder}` : `${folder} is restored to ${own}`)
    output.add(`: ${describe(report)}.\n`)
  } catch (error) {
    throw serverError(error, args)
  }
}

const describe = ({ runs, files, bytes }: CopyReport): string =>
  `${plural(runs, 'run')}, ${plural(files, 'log')}, ${(bytes / 1e6).toFixed(1)} MB`

/** What the server refuses with, as the command says it. */
export function serverError(error: unknown, args: Arguments): Error {
  const { code, name, message, syscall, path, dest } = error as NodeJS.ErrnoException & { readonly dest?: string }
  if (name === 'LibraryError') return new CommandError(3, message, { cause: error })
  if (name === 'SourceError') return new CommandError(2, `--live: ${message}`, { cause: error })
  if (syscall === 'listen') {
    const port = args.text('port')
    const which = port === undefined ? 'the usual ports' : `port ${port}`
    const why = code === 'EADDRINUSE' ? `${port === undefined ? 'are' : 'is'} in use` : `cannot be had (${code})`
    return new CommandError(1, `${which} ${why}; choose another with --port`, { cause: error })
  }
  if (code?.startsWith('E') === true) {
    const file = dest ?? path
    const where = file === undefined ? '' : `${file}: `
    return new CommandError(3, where + fileProblem(error), { cause: error })
  }
  return error as Error
}
