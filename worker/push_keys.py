"""Make the keys that notices on devices are signed with: ``python -m worker.push_keys``, once for an installation.

New keys end every subscription there is: browsers subscribe to one key.
"""

import sys

from webpush.vapid import VAPID

from worker.push_signing import raw_private_key


def main() -> int:
    """Print the two settings."""
    private_pem, _, public_key = VAPID.generate_keys()
    sys.stdout.write(f"FAIRLEAD_PUSH_PUBLIC_KEY={public_key}\n")
    sys.stdout.write(f"FAIRLEAD_PUSH_PRIVATE_KEY={raw_private_key(private_pem)}\n")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
