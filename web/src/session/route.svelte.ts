/** Where in an area we are: the part after `#`, so that the server needs to know only the area. */
class Route {
  path = $state(read());

  constructor() {
    window.addEventListener("hashchange", () => {
      this.path = read();
      window.scrollTo(0, 0);
    });
  }

  /** The parts of the path: "#/clips/12" gives ["clips", "12"]. */
  get parts(): string[] {
    return this.path.split("/").filter(Boolean);
  }

  go(path: string): void {
    location.hash = path;
  }
}

function read(): string {
  return decodeURIComponent(location.hash.slice(1)) || "/";
}

export const route = new Route();
