// A host of the app that a journey can stop, and give another build.
import { createServer } from "node:http";

/** What has another name in build “b”: the scripts and the module of the page. */
const RENAMED = /(assets\/|\.\/)((?:start|web-glue|web)-[0-9a-f]{16}\.)/g;

/** The app as a host serves it before and after it gets build “b”, whose scripts and modules of the page have other names. */
export class Host {
  static async start(address) {
    const host = new Host();
    host.build = "a";
    host.from = address;
    host.server = createServer((request, response) => host.answer(request, response));
    await new Promise((resolve) => host.server.listen(0, "127.0.0.1", resolve));
    host.address = `http://127.0.0.1:${host.server.address().port}/`;
    return host;
  }

  stop() {
    this.server.closeAllConnections();
    this.server.close();
  }

  async answer(request, response) {
    const path = request.url.slice(1);
    const isB = path.startsWith("assets/b-");
    // A host that has build b has no file of build a that was renamed.
    const isGone = isB ? this.build === "a" : this.build === "b" && path.match(RENAMED);
    const got = await fetch(this.from + path.replace("assets/b-", "assets/"));
    let content = Buffer.from(await got.arrayBuffer());
    if (this.build === "b" && /(^|\.js|\.html)$/.test(path)) {
      content = Buffer.from(content.toString().replace(RENAMED, "$1b-$2").replace(/(`\$\{CACHES\}\w+)`/, "$1b`"));
    }
    const headers = ["content-type", "content-security-policy", "cache-control"].map((name) => [name, got.headers.get(name)]);
    response.writeHead(isGone ? 404 : got.status, Object.fromEntries(headers));
    response.end(isGone ? "" : content);
  }
}
