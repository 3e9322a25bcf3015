/** The built viewer, as files; a plain page where it has not been built. */
import { existsSync } from 'node:fs'
import { join } from 'node:path'
import express, { type RequestHandler } from 'express'

const NO_VIEWER = `<!doctype html>
<html lang="en">
<meta charset="utf-8">
<meta name="viewport" content="width=device-width">
<title>firstcrank</title>
<h1>firstcrank is running</h1>
<p>The viewer has not been built. In the folder of the source:</p>
<pre>npm run build</pre>
<p>Then load this page again. The API works without it: <a href="/api/runs">runs</a>,
<a href="/api/sources">live sources</a>, <a href="/openapi.json">description</a>.</p>
</html>
`

/** Handlers for everything that is not the API. */
export function viewerHandlers(folder: string | undefined): RequestHandler[] {
  const page: RequestHandler = (request, response, next) => {
    if (!isPage(request.method, request.path, request.headers.accept)) {
      next()
      return
    }
    response.set('Cache-Control', 'no-cache')
    const index = folder === undefined ? undefined : join(folder, 'index.html')
    if (index !== undefined && existsSync(index)) response.sendFile(index, { dotfiles: 'allow', cacheControl: false })
    else response.type('text/html').send(NO_VIEWER)
  }
  if (folder === undefined) return [page]
  return [
    express.static(folder, {
      index: false,
      redirect: false,
      dotfiles: 'ignore',
      setHeaders: (response, path) => {
        // Names of built assets change with their content.
        const isAsset = path.startsWith(join(folder, 'assets'))
        response.setHeader('Cache-Control', isAsset ? 'public, max-age=31536000, immutable' : 'no-cache')
      },
    }),
    page,
  ]
}

/** Whether a browser asks for a page: the viewer finds out which by itself. */
export function isPage(method: string, path: string, accept: string | undefined): boolean {
  if (method !== 'GET' && method !== 'HEAD') return false
  if (path.startsWith('/api/') || path.startsWith('/feed') || /\.\w{1,8}$/.test(path)) return false
  return path === '/' || (accept ?? '').includes('text/html')
}
