"""The drawing as one page for a browser: on a phone under the bench as on a desk, with no network and no server."""
