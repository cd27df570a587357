"""Files a teacher writes: reading them with places, saying what is wrong, writing them safely."""
