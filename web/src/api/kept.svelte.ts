/** Whether what is shown is what the service said before, because it cannot be reached now. */
class Kept {
  /** When it was said; null while the service answers. */
  at = $state<string | null>(null);

  heard(response: Response): void {
    this.at = response.headers.get("fairlead-kept-at");
  }
}

export const kept = new Kept();
