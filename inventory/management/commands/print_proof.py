"""Print a proof as JSON: of an entry in the newest checkpoint, or of one checkpoint going on from another."""

import json

from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError

from inventory.models import Checkpoint
from inventory.queries.checkpoints import consistency_of, inclusion_of


class Command(BaseCommand):
    help = __doc__

    def add_arguments(self, parser):
        parser.add_argument("entry", nargs="?", help="the UUID of a posting or a change")
        parser.add_argument("--checkpoints", nargs=2, metavar=("OLDER", "NEWER"), type=int)

    def handle(self, *args, **options):
        pair = options["checkpoints"]
        proof = self.growth(*pair) if pair else self.entry(options["entry"])
        self.stdout.write(json.dumps(proof, indent=2))

    def growth(self, older: int, newer: int) -> dict:
        rows = Checkpoint.objects.in_bulk([older, newer])
        proof = (
            consistency_of(rows[older], rows[newer]) if len(rows) == len({older, newer}) else None
        )
        if proof is None:
            raise CommandError("There are no two such checkpoints in this order.")
        return {"older": root(proof.older), "newer": root(proof.checkpoint), "path": proof.path}

    def entry(self, uuid) -> dict:
        try:
            proof = inclusion_of(uuid)
        except ValidationError:
            proof = None
        if proof is None:
            raise CommandError("No checkpoint holds an entry of this UUID.")
        leaf = {"leaf": proof.leaf.number, "leaf_hash": proof.leaf.hash}
        return leaf | {"checkpoint": root(proof.checkpoint), "path": proof.path}


def root(checkpoint: Checkpoint) -> dict:
    """Return what a proof says of a checkpoint."""
    return {"number": checkpoint.number, "size": checkpoint.size, "root": checkpoint.root}
