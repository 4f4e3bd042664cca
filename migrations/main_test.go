package migrations_test

import (
	"testing"

	"levelpeg/db/dbtest"
)

func TestMain(m *testing.M) { dbtest.Main(m) }
