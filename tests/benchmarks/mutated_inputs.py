"""Twenty thousand changed files of every kind, read: how many give neither an answer nor a sentence.

Run: python tests/benchmarks/mutated_inputs.py [HOW_MANY] [SEED]
"""

import random
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from mutated import told

if __name__ == "__main__":
    n = int(sys.argv[1]) if len(sys.argv) > 1 else 20_000
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else random.SystemRandom().randrange(10**6)
    print("\n".join(told(n, seed)))
